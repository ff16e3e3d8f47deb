/** Calls to the program on the loopback address. The token comes once, in the address after `#token=`. */

const KEPT = "tapemeasure.token";

function takeToken(): string {
  const given = new URLSearchParams(location.hash.slice(1)).get("token");
  if (given) {
    sessionStorage.setItem(KEPT, given);
    history.replaceState(null, "", location.pathname + location.search);
  }
  return given ?? sessionStorage.getItem(KEPT) ?? "";
}

const token = takeToken();

/** A refusal, in the program's own words. */
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    message: string,
  ) {
    super(message);
  }
}

async function refusal(answer: Response): Promise<Refused> {
  const text = await answer.text();
  try {
    const { error } = JSON.parse(text) as { error: { code: string; message: string } };
    return new Refused(answer.status, error.code, error.message);
  } catch {
    return new Refused(answer.status, "unreadable", text || `the program answered ${answer.status}`);
  }
}

export async function send(path: string, init: RequestInit = {}): Promise<Response> {
  const headers = new Headers(init.headers);
  headers.set("Authorization", `Bearer ${token}`);
  let answer: Response;
  try {
    answer = await fetch(`/api${path}`, { ...init, headers });
  } catch (e) {
    if (e instanceof DOMException && e.name === "AbortError") throw e;
    throw new Refused(0, "unreachable", "The program does not answer. Is it still running?");
  }
  if (!answer.ok) throw await refusal(answer);
  return answer;
}

export async function ask<T>(method: string, path: string, body?: unknown): Promise<T> {
  const init: RequestInit = { method };
  if (body !== undefined) {
    init.headers = { "Content-Type": "application/json" };
    init.body = JSON.stringify(body);
  }
  const answer = await send(path, init);
  const text = await answer.text();
  return (text ? JSON.parse(text) : undefined) as T;
}

/** Bytes `first..end` of a film's proxy. */
export async function proxyRange(film: string, first: number, end: number, signal: AbortSignal): Promise<ArrayBuffer> {
  const answer = await send(`/films/${encodeURIComponent(film)}/proxy`, {
    headers: { Range: `bytes=${first}-${end - 1}` },
    signal,
  });
  const bytes = await answer.arrayBuffer();
  if (bytes.byteLength !== end - first)
    throw new Refused(answer.status, "short", `asked for ${end - first} bytes of film, got ${bytes.byteLength}`);
  return bytes;
}
