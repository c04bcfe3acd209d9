// Recordings on this device, piece by piece as they arrive, so that a closed page keeps what was played.
// One row a recording in "recordings", its sound in "pieces" under [recording, number].

export function asked(request) {
  return new Promise((resolve, reject) => {
    request.addEventListener("success", () => resolve(request.result));
    request.addEventListener("error", () => reject(request.error));
  });
}

export function finished(transaction) {
  return new Promise((resolve, reject) => {
    transaction.addEventListener("complete", resolve);
    for (const kind of ["abort", "error"])
      transaction.addEventListener(kind, () => reject(transaction.error));
  });
}

const piecesOf = (id) => IDBKeyRange.bound([id, 0], [id, Infinity]);

export class RecordStore {
  static async open() {
    const request = indexedDB.open("fairhearing-recordings", 1);
    request.addEventListener("upgradeneeded", () => {
      request.result.createObjectStore("recordings", { keyPath: "id" });
      request.result.createObjectStore("pieces");
    });
    return new RecordStore(await asked(request));
  }

  constructor(database) {
    this.database = database;
  }

  // Flushed to disk before it counts as written: a phone may be switched off at any moment.
  write() {
    return this.database.transaction(["recordings", "pieces"], "readwrite", { durability: "strict" });
  }

  async add(recording, number, piece) {
    const transaction = this.write();
    transaction.objectStore("recordings").put(recording);
    transaction.objectStore("pieces").put(piece, [recording.id, number]);
    await finished(transaction);
  }

  async of(owner) {
    const all = await asked(this.database.transaction("recordings").objectStore("recordings").getAll());
    return all.filter((recording) => recording.owner === owner).sort((a, b) => a.began - b.began);
  }

  async sound(recording) {
    const store = this.database.transaction("pieces").objectStore("pieces");
    return new Blob(await asked(store.getAll(piecesOf(recording.id))), { type: recording.type });
  }

  // Whosever they are: on a shared device nothing of a child lies about for years.
  async forgetOlderThan(moment) {
    const all = await asked(this.database.transaction("recordings").objectStore("recordings").getAll());
    for (const recording of all) if (recording.began < moment) await this.discard(recording.id);
  }

  async discard(id) {
    const transaction = this.write();
    transaction.objectStore("recordings").delete(id);
    transaction.objectStore("pieces").delete(piecesOf(id));
    await finished(transaction);
  }
}
