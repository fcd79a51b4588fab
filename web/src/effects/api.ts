/** Requests to the server that delivered the page. */
import type { Problem } from "../model/answers";
import { events_in, type StreamEvent } from "../model/event_stream";

const meta = (name: string): string => document.querySelector<HTMLMetaElement>(`meta[name="${name}"]`)?.content ?? "";
let token = meta("voltsill-token");
export const style_nonce = meta("voltsill-style-nonce");

/** The server said no; `body` is its answer. */
export class Refused extends Error {
    constructor(
        readonly status: number,
        readonly body: unknown,
    ) {
        super(words_of(body) || `The server answered ${status}.`);
    }
}

/** The server has too much to do; the same may be asked a little later. */
export const is_busy = (error: unknown): boolean => error instanceof Refused && error.status === 429;
/** Nothing answered, or the connection broke: a sleeping phone, a network that was left, a server that starts again. */
export const is_away = (error: unknown): boolean =>
    error instanceof TypeError && /fetch|network|load/i.test(error.message);

function words_of(body: unknown): string {
    const problems = (body as { problems?: Problem[] } | null)?.problems;
    return problems?.map((p) => p.message).join("; ") ?? "";
}

/** Words for a reader; null: it was cancelled, there is nothing to tell. */
export function trouble(error: unknown): string | null {
    if (error instanceof DOMException && error.name === "AbortError") return null;
    if (error instanceof Refused) return error.message;
    if (is_away(error)) return "The server does not answer. Is voltsill serve still running?";
    return `The page did not understand the answer: ${String(error)}`;
}

/** A server that was started again has another token: it stands in the page, as ours stood in this one. */
async function token_is_new(): Promise<boolean> {
    const page = await fetch("/")
        .then((answer) => answer.text())
        .catch(() => "");
    const found =
        new DOMParser().parseFromString(page, "text/html").querySelector<HTMLMetaElement>('meta[name="voltsill-token"]')
            ?.content ?? "";
    if (!found || found === token) return false;
    token = found;
    return true;
}

async function send(
    method: string,
    url: string,
    body?: unknown,
    signal?: AbortSignal,
    again = true,
): Promise<Response> {
    const headers: Record<string, string> = {};
    if (method !== "GET") headers["X-Voltsill-Token"] = token;
    if (body !== undefined) headers["Content-Type"] = "application/json";
    const answer = await fetch(url, {
        method,
        headers,
        ...(body === undefined ? {} : { body: JSON.stringify(body) }),
        ...(signal ? { signal } : {}),
    });
    if (answer.ok) return answer;
    if (answer.status === 401 && again && (await token_is_new())) return send(method, url, body, signal, false);
    throw new Refused(answer.status, await answer.json().catch(() => null));
}

export const get = async <T>(url: string, signal?: AbortSignal): Promise<T> =>
    (await (await send("GET", url, undefined, signal)).json()) as T;
export const post = async <T>(url: string, body: unknown, signal?: AbortSignal): Promise<T> =>
    (await (await send("POST", url, body, signal)).json()) as T;
export const put = async <T>(url: string, body: unknown): Promise<T> =>
    (await (await send("PUT", url, body)).json()) as T;
export const post_for_file = async (url: string, body: unknown): Promise<Blob> =>
    (await send("POST", url, body)).blob();

/** Reads an answer that comes as a stream of events, until it ends. */
export async function stream(
    url: string,
    body: unknown,
    signal: AbortSignal,
    on: (e: StreamEvent) => void,
): Promise<void> {
    const answer = await send("POST", url, body, signal);
    const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
    let pending: string[] = [];
    for (;;) {
        const { done, value } = await reader.read();
        if (done) return;
        pending.push(value);
        if (!value.includes("\n")) continue; // a long line arrives in many pieces
        const { events, rest } = events_in(pending.join(""));
        pending = rest ? [rest] : [];
        events.forEach(on);
    }
}
