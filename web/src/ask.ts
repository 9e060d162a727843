// What the page asks of the program, and the stream of what happens there.
import type { Key, Trouble, WireEvent } from "./wire";

/** The program's refusal, with its words. */
export class Refused extends Error {
  constructor(
    readonly trouble: Trouble,
    readonly status: number,
  ) {
    super(trouble.message);
  }
}

/** ask sends a question and gives the answer, or throws Refused. */
export async function ask<T>(method: string, path: string, body?: unknown, signal?: AbortSignal): Promise<T> {
  const init: RequestInit = { method, credentials: "same-origin" };
  if (signal) init.signal = signal;
  if (body !== undefined) {
    init.body = JSON.stringify(body);
    init.headers = { "Content-Type": "application/json" };
  }
  const res = await fetch(path, init);
  if (!res.ok) {
    let trouble: Trouble = { code: "fault", message: `The program answered ${res.status}.`, problems: [] };
    try {
      trouble = (await res.json()) as Trouble;
    } catch {
      // no words came with it
    }
    throw new Refused(trouble, res.status);
  }
  return (await res.json()) as T;
}

/** enter exchanges the secret in the address for a session, and takes it out of the address. */
export async function enter(): Promise<void> {
  const key = /^#key=([\w-]+)$/.exec(location.hash)?.[1];
  if (!key) return;
  history.replaceState(null, "", location.pathname);
  await ask<unknown>("POST", "/api/enter", { key } satisfies Key);
}

/** tab names this tab; it stays the same when the page is loaded anew. */
export function tabName(): string {
  const kept = sessionStorage.getItem("tab");
  if (kept) return kept;
  const made = crypto.randomUUID();
  sessionStorage.setItem("tab", made);
  return made;
}

/** listen opens the stream of events; the browser opens it again when it breaks. */
export function listen(tab: string, got: (e: WireEvent) => void, lost: (is: boolean) => void): void {
  const open = () => {
    const s = new EventSource(`/api/events?tab=${tab}`);
    s.onopen = () => lost(false);
    s.onmessage = (m) => got(JSON.parse(m.data as string) as WireEvent);
    s.onerror = () => {
      lost(true);
      if (s.readyState === EventSource.CLOSED) setTimeout(open, 1500);
    };
  };
  open();
}
