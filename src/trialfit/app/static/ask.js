// Asking the program: every change shows the page's token, and an answer that is none counts as "not there".
export class Away extends Error {}

let csrf = document.querySelector('meta[name="csrf"]')?.content ?? "";

export async function ask(path, { method = "GET", body, key, raw } = {}) {
  for (let again = 0; ; again++) {
    let answer;
    try {
      answer = await fetch(path, {
        method,
        headers: {
          ...(method === "GET" ? {} : { "X-Csrf-Token": csrf }),
          ...(body === undefined || raw ? {} : { "Content-Type": "application/json" }),
          ...(key ? { "Idempotency-Key": key } : {}),
        },
        body: body === undefined ? undefined : raw ? body : JSON.stringify(body),
        cache: "no-store",
      });
    } catch {
      throw new Away("The program does not answer.");
    }
    if (answer.status === 403 && method !== "GET" && again === 0 && (await fresh())) continue;
    const kind = answer.headers.get("content-type") ?? "";
    const said = kind.includes("json") ? await answer.json().catch(() => null) : await answer.text();
    return { status: answer.status, said };
  }
}

export function token() { return csrf; }

async function fresh() {
  try {
    const answer = await fetch("/api/entry", { cache: "no-store" });
    if (!answer.ok) return false;
    csrf = (await answer.json()).csrf;
    return true;
  } catch { return false; }
}

export function faultWords(faults) {
  return (faults ?? []).map((fault) => `${fault.line ? `line ${fault.line}: ` : ""}${fault.what}: got ${fault.got}, wanted ${fault.wanted}. ${fault.remedy}`);
}
