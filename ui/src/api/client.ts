/** Calls to the program on the loopback address. The token comes once, in the address after `#token=`. */
import createClient from "openapi-fetch";
import type { paths } from "./schema.d.ts";

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

/** Sends a request with the token; throws `Refused` for any answer but a good one. */
async function send(request: Request): Promise<Response> {
  request.headers.set("Authorization", `Bearer ${token}`);
  let answer: Response;
  try {
    answer = await fetch(request);
  } catch (e) {
    if (e instanceof DOMException && e.name === "AbortError") throw e;
    throw new Refused(0, "unreachable", "The program does not answer. Is it still running?");
  }
  if (!answer.ok) throw await refusal(answer);
  return answer;
}

/** The typed client; every path and body is checked against the API's description. */
export const api = createClient<paths>({ baseUrl: new URL("api", location.origin).href, fetch: send });

/** The body of an answer; refusals were thrown before. */
export async function body<T>(answer: Promise<{ data?: T }>): Promise<NonNullable<T>> {
  return (await answer).data as NonNullable<T>;
}

/** A call for bytes, text or a picture: what the description calls content of another kind than JSON. */
export function fetchRaw(path: string, init: RequestInit = {}): Promise<Response> {
  return send(new Request(`/api${path}`, init));
}

/** Bytes `first..end` of a film's proxy. */
export async function proxyRange(film: string, first: number, end: number, signal: AbortSignal): Promise<ArrayBuffer> {
  const answer = await fetchRaw(`/films/${encodeURIComponent(film)}/proxy`, {
    headers: { Range: `bytes=${first}-${end - 1}` },
    signal,
  });
  const bytes = await answer.arrayBuffer();
  if (bytes.byteLength !== end - first)
    throw new Refused(answer.status, "short", `asked for ${end - first} bytes of film, got ${bytes.byteLength}`);
  return bytes;
}

/** Sends a file's bytes with word of how far it is: `fetch` tells nothing of what has left. */
export function sendFile<T>(path: string, file: File, sent: (bytes: number) => void, signal: AbortSignal): Promise<T> {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    const stop = () => request.abort();
    signal.addEventListener("abort", stop, { once: true });
    request.upload.onprogress = (e) => sent(e.loaded);
    request.onerror = () => reject(new Refused(0, "unreachable", "The program does not answer. Is it still running?"));
    request.onabort = () => reject(new DOMException("stopped", "AbortError"));
    request.onload = () => {
      signal.removeEventListener("abort", stop);
      if (request.status === 200) resolve(JSON.parse(request.responseText) as T);
      else void refusal(new Response(request.responseText, { status: request.status })).then(reject);
    };
    request.open("POST", new URL(`api${path}`, location.origin));
    request.setRequestHeader("Authorization", `Bearer ${token}`);
    request.setRequestHeader("Content-Type", "application/octet-stream");
    request.send(file);
  });
}
