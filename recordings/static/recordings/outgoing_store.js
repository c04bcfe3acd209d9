// What is on its way lies on this device until it has arrived, so that another page load can go on with it.
import { asked, finished } from "./record_store.js";

const NAME = "fairhearing-outgoing";

export class OutgoingStore {
  static async open() {
    const request = indexedDB.open(NAME, 1);
    request.addEventListener("upgradeneeded", () => request.result.createObjectStore("items", { keyPath: "id" }));
    return new OutgoingStore(await asked(request));
  }

  constructor(database) {
    this.database = database;
  }

  async change(act) {
    const transaction = this.database.transaction("items", "readwrite", { durability: "strict" });
    act(transaction.objectStore("items"));
    await finished(transaction);
  }

  put(item) {
    return this.change((items) => items.put(item));
  }

  discard(id) {
    return this.change((items) => items.delete(id));
  }

  all() {
    return asked(this.database.transaction("items").objectStore("items").getAll());
  }

  // Whosever they are: the server has given them up by then.
  async forgetOlderThan(moment) {
    for (const item of await this.all()) if (item.added < moment) await this.discard(item.id);
  }
}
