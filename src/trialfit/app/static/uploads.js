// Photographs on their way in: shown with their progress, kept in the browser until they have arrived.
import { ask, token } from "./ask.js";
import { make } from "./make.js";

function shelf() {
  return new Promise((done, failed) => {
    const wish = indexedDB.open("trialfit", 1);
    wish.onupgradeneeded = () => wish.result.createObjectStore("uploads", { keyPath: "id" });
    wish.onsuccess = () => done(wish.result);
    wish.onerror = () => failed(wish.error);
  });
}

async function onShelf(mode, act) {
  const database = await shelf();
  return new Promise((done, failed) => {
    const turn = database.transaction("uploads", mode), wish = act(turn.objectStore("uploads"));
    turn.oncomplete = () => { done(wish?.result); database.close(); };
    turn.onerror = () => { failed(turn.error); database.close(); };
  });
}

/** Jobs whose photographs wait to be sent, from whatever page. */
export async function waitingFor() {
  try { return new Set((await onShelf("readonly", (store) => store.getAllKeys())).map((id) => id.split("/")[0])); } catch { return new Set(); }
}

/** A name that is taken everywhere; a tablet calls every photograph it takes by the same. */
function fileName(name, number = 1) {
  const tame = name.normalize("NFC").replace(/[^\p{L}\p{N} ._\-()+,&']/gu, "_"), dot = tame.lastIndexOf("."), stem = dot > 0 ? tame.slice(0, dot) : tame, ending = dot > 0 ? tame.slice(dot) : "";
  return `${stem.slice(0, 100)}${number > 1 ? `-${number}` : ""}${ending}`;
}

export class Uploads {
  constructor(job, box, arrived) {
    Object.assign(this, { job, box, arrived, lines: new Map(), sending: false });
    addEventListener("online", () => this.send());
    this.waiting().then((kept) => kept.length && this.send());
  }

  async waiting() {
    const kept = await onShelf("readonly", (store) => store.getAll()).catch(() => []);
    return [...kept.filter((each) => each.job === this.job), ...(this.loose ?? [])];
  }

  async take(files) {
    for (const file of files) {
      const entry = { id: `${this.job}/${file.name}/${file.size}/${file.lastModified}`, job: this.job, name: fileName(file.name), plain: file.name, file };
      try { await onShelf("readwrite", (store) => store.put(entry)); } catch { this.loose = [...(this.loose ?? []), entry]; }
    }
    this.send();
  }

  /** One after another, and those that came meanwhile too. */
  async send() {
    if (this.sending) return;
    this.sending = true;
    clearTimeout(this.later);
    try {
      for (let entry; (entry = (await this.waiting()).find((each) => !this.lines.get(each.id)?.refused)); ) {
        if (await this.sendOne(entry)) continue;
        this.later = setTimeout(() => this.send(), 3000);
        break;
      }
    } finally { this.sending = false; }
  }

  line(entry) {
    if (!this.lines.has(entry.id)) {
      const bar = make("progress", { max: 1, value: 0, "aria-label": `${entry.name} on its way` }), words = make("span", {}, "waiting");
      const out = make("button", { type: "button", onclick: () => this.leave(entry) }, "Leave it");
      const element = make("p", { class: "upload" }, make("b", {}, entry.name), " ", bar, " ", words, " ", out);
      this.box.append(element);
      this.lines.set(entry.id, { bar, words, element });
    }
    return this.lines.get(entry.id);
  }

  async leave(entry) {
    const line = this.lines.get(entry.id);
    this.lines.delete(entry.id);
    line?.element.remove();
    await this.forget(entry);
    line?.request?.abort();
  }

  async forget(entry) {
    await onShelf("readwrite", (store) => store.delete(entry.id)).catch(() => {});
    this.loose = (this.loose ?? []).filter((each) => each.id !== entry.id);
  }

  /** Names for it where its own is another's: those it may have been taken in by already, then one that is free. */
  async otherNames(entry) {
    const { status, said } = await ask(`/api/jobs/${encodeURIComponent(this.job)}/photographs`).catch(() => ({ status: 0 })), names = [];
    if (status !== 200) return names;
    for (let number = 2; ; number++) {
      const name = fileName(entry.plain ?? entry.name, number), there = said.find((each) => each.file.toLowerCase() === name.toLowerCase());
      if (!there || there.size_bytes === entry.file.size) names.push(name);
      if (!there) return names;
    }
  }

  async sendOne(entry, name = entry.name, others = null) {
    const line = this.line(entry);
    const answer = await new Promise((done) => {
      const request = (line.request = new XMLHttpRequest());
      request.open("PUT", `/api/jobs/${encodeURIComponent(this.job)}/photographs/${encodeURIComponent(name)}`);
      request.setRequestHeader("X-Csrf-Token", token());
      request.setRequestHeader("Content-Type", "application/octet-stream");
      request.upload.onprogress = (event) => { if (event.lengthComputable) { line.bar.value = event.loaded / event.total; line.words.textContent = `${Math.round((100 * event.loaded) / event.total)} %`; } };
      request.onload = () => done({ status: request.status, text: request.responseText });
      request.onerror = request.onabort = () => done({ status: 0, text: "" });
      request.send(entry.file);
    });
    if (answer.status === 201 || answer.status === 200) {
      // First it is named in the document: should the page go now, it is sent again and named then.
      this.arrived(name);
      await this.forget(entry);
      line.element.remove();
      this.lines.delete(entry.id);
      return true;
    }
    if (answer.status === 409) {
      others ??= await this.otherNames(entry);
      if (others.length) return this.sendOne(entry, others[0], others.slice(1));
    }
    if (answer.status === 0 || answer.status >= 500 || answer.status === 401 || answer.status === 429) { line.words.textContent = "not saved yet: kept here, and tried again"; return false; }
    if (answer.status === 403) { await ask("/api/entry"); line.words.textContent = "load the page anew"; return false; }
    let faults = [];
    try { faults = JSON.parse(answer.text).faults; } catch { /* no words */ }
    line.refused = true;
    line.bar.hidden = true;
    line.words.className = "infault";
    line.words.textContent = `Not taken. ${entry.file.size ? faults.map((fault) => `${fault.what}: ${fault.got}. ${fault.remedy}`).join(" ") : "The file is empty: it was not copied whole. Take it from the phone again."}`;
    return true;
  }
}
