// What is done with a whole job: put away, put back, closed, and begun anew as its next revision.
import { ask, faultWords } from "./ask.js";
import { all, find, make } from "./make.js";

/** Ask once, then do it; what is refused is said where it was asked. */
function asking(opener, dialog, yes, no, faults, doing) {
  if (!find(opener)) return;
  find(opener).addEventListener("click", () => find(dialog).showModal());
  find(no).addEventListener("click", () => find(dialog).close());
  find(yes).addEventListener("click", async () => {
    const box = find(faults);
    find(yes).disabled = true;
    try {
      const { status, said } = await doing();
      if (status < 300) return;
      box.replaceChildren(make("ul", {}, faultWords(said?.faults).map((words) => make("li", {}, words))));
    } catch { box.replaceChildren(make("p", {}, "Not done: the program does not answer. Press again.")); }
    find(yes).disabled = false;
    find(dialog).close();
    if (dialog === "#away-ask") find(dialog).showModal();
    box.hidden = false;
  });
}

export function standing(job, keeper) {
  const self = job ? `/api/jobs/${encodeURIComponent(job)}` : "";
  asking("#away", "#away-ask", "#away-yes", "#away-no", "#away-faults", async () => {
    const answer = await ask(`${self}/away`, { method: "PUT" });
    if (answer.status === 200) location.href = `/?put=${encodeURIComponent(job)}`;
    return answer;
  });
  asking("#close", "#close-ask", "#close-yes", "#close-no", "#close-faults", async () => {
    const answer = await ask(`${self}/closings`, { method: "POST", body: { base: keeper.revision, paper: find("#close-paper").value } });
    if (answer.status === 201) location.reload();
    return answer;
  });
  for (const each of all("[data-put-back]")) each.addEventListener("click", async () => {
    try {
      const { status } = await ask(`/api/jobs/${encodeURIComponent(each.dataset.putBack)}/away`, { method: "DELETE" });
      if (status === 200) location.href = job ? location.pathname : "/";
    } catch { each.textContent = "Not done: the program does not answer. Press again."; }
  });
  find("#next-revision")?.addEventListener("click", () => {
    const number = Number(find("#next-revision").dataset.next);
    keeper.edit([{ path: ["job", "revision"], value: number }]);
    keeper.addEventListener("held", () => { if (keeper.document.job?.revision === number) location.reload(); });
  });
}
