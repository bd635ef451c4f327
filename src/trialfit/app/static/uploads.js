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

export class Uploads {
  constructor(job, box, arrived) {
    Object.assign(this, { job, box, arrived, lines: new Map(), sending: false });
    addEventListener("online", () => this.send());
    this.waiting().then((kept) => kept.length && this.send());
  }

  async waiting() {
    try { return (await onShelf("readonly", (store) => store.getAll())).filter((each) => each.job === this.job); } catch { return this.loose ?? []; }
  }

  async take(files) {
    for (const file of files) {
      const entry = { id: `${this.job}/${file.name}/${file.size}`, job: this.job, name: file.name, file };
      try { await onShelf("readwrite", (store) => store.put(entry)); } catch { this.loose = [...(this.loose ?? []), entry]; }
    }
    this.send();
  }

  async send() {
    if (this.sending) return;
    this.sending = true;
    clearTimeout(this.later);
    try {
      for (const entry of await this.waiting()) if (!this.lines.get(entry.id)?.refused && !(await this.sendOne(entry))) { this.later = setTimeout(() => this.send(), 3000); break; }
    } finally { this.sending = false; }
  }

  line(entry) {
    if (!this.lines.has(entry.id)) {
      const bar = make("progress", { max: 1, value: 0, "aria-label": `${entry.name} on its way` }), words = make("span", {}, "waiting");
      const out = make("button", { type: "button", onclick: async () => { await onShelf("readwrite", (store) => store.delete(entry.id)); element.remove(); this.lines.delete(entry.id); } }, "Leave it");
      const element = make("p", { class: "upload" }, make("b", {}, entry.name), " ", bar, " ", words, " ", out);
      this.box.append(element);
      this.lines.set(entry.id, { bar, words, element });
    }
    return this.lines.get(entry.id);
  }

  async sendOne(entry) {
    const line = this.line(entry);
    const answer = await new Promise((done) => {
      const request = new XMLHttpRequest();
      request.open("PUT", `/api/jobs/${encodeURIComponent(this.job)}/photographs/${encodeURIComponent(entry.name)}`);
      request.setRequestHeader("X-Csrf-Token", token());
      request.setRequestHeader("Content-Type", "application/octet-stream");
      request.upload.onprogress = (event) => { if (event.lengthComputable) { line.bar.value = event.loaded / event.total; line.words.textContent = `${Math.round((100 * event.loaded) / event.total)} %`; } };
      request.onload = () => done({ status: request.status, text: request.responseText });
      request.onerror = request.onabort = () => done({ status: 0, text: "" });
      request.send(entry.file);
    });
    if (answer.status === 201 || answer.status === 200) {
      await onShelf("readwrite", (store) => store.delete(entry.id)).catch(() => {});
      this.loose = (this.loose ?? []).filter((each) => each.id !== entry.id);
      line.element.remove();
      this.lines.delete(entry.id);
      this.arrived(entry.name);
      return true;
    }
    if (answer.status === 0 || answer.status >= 500 || answer.status === 401 || answer.status === 429) { line.words.textContent = "not saved yet: kept here, and tried again"; return false; }
    if (answer.status === 403) { await ask("/api/entry"); line.words.textContent = "load the page anew"; return false; }
    let faults = [];
    try { faults = JSON.parse(answer.text).faults; } catch { /* no words */ }
    line.refused = true;
    line.words.textContent = faults.map((fault) => `${fault.what}: ${fault.got}. ${fault.remedy}`).join(" ") || "not taken";
    return true;
  }
}
