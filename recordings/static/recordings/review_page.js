// The review page: lays out the desk for the take that is on it, and after a release for the next.

import { openDesk } from "./desk.js";
import { Onward } from "./desk_onward.js";

document.documentElement.classList.add("with-script");
await new Onward(openDesk).begin();
