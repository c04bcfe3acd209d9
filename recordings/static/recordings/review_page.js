// The review page: lays out the desk for the take that is on it.

import { openDesk } from "./desk.js";

document.documentElement.classList.add("with-script");
await openDesk(new AbortController().signal);
