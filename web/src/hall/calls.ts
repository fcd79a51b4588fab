/** Calls of the hall. Every one ends in one of three ways: an answer; no answer, try again; no. */
import type { Problem } from "./answers";
import { pause } from "./queue";

export type Outcome<T> =
    | { got: "answer"; value: T }
    /** The network or the server did not answer, or wants to be asked later: `after` ms at the least. */
    | { got: "nothing"; after: number; busy: boolean }
    | { got: "no"; status: number; code: string; words: string };

const longest_wait = 12000;

let token = "";
export const set_token = (given: string | null) => {
    token = given ?? "";
};

function words_of(body: unknown, status: number): { code: string; words: string } {
    const problem = (body as { problems?: (Problem & { code: string })[] } | null)?.problems?.[0];
    if (!problem) return { code: "", words: `The server answered ${status}.` };
    const first = problem.message.charAt(0).toUpperCase() + problem.message.slice(1);
    return { code: problem.code, words: problem.expected ? `${first}: ${problem.expected}.` : `${first}.` };
}

async function call<T>(method: "GET" | "POST", path: string, body?: unknown): Promise<Outcome<T>> {
    const headers: Record<string, string> = {};
    if (method === "POST") {
        headers["Content-Type"] = "application/json";
        if (token) headers["X-Voltsill-Token"] = token;
    }
    const enough = new AbortController();
    const timer = setTimeout(() => enough.abort(), longest_wait);
    try {
        const answer = await fetch(`/api/class/${path}`, {
            method,
            headers,
            signal: enough.signal,
            ...(body === undefined ? {} : { body: JSON.stringify(body) }),
        });
        if (answer.ok) return { got: "answer", value: (await answer.json()) as T };
        if (answer.status === 429 || answer.status >= 500)
            return { got: "nothing", after: 1000 * Number(answer.headers.get("Retry-After") ?? 0), busy: true };
        return { got: "no", status: answer.status, ...words_of(await answer.json().catch(() => null), answer.status) };
    } catch {
        // no network, no server, or a half of an answer
        return { got: "nothing", after: 0, busy: false };
    } finally {
        clearTimeout(timer);
    }
}

export const get = <T>(path: string) => call<T>("GET", path);
export const post = <T>(path: string, body: unknown = {}) => call<T>("POST", path, body);

/** Asks until there is an answer, more and more slowly; `lost` hears of every try in vain. */
export async function patiently<T>(
    ask: () => Promise<Outcome<T>>,
    lost: () => void,
): Promise<Exclude<Outcome<T>, { got: "nothing" }>> {
    for (let tries = 1; ; ++tries) {
        const outcome = await ask();
        if (outcome.got !== "nothing") return outcome;
        lost();
        await new Promise((then) => setTimeout(then, Math.max(outcome.after, pause(tries, Math.random()))));
    }
}

const no_answer = "The server does not answer. Is this device still in the network of the class?";
/** Why there is no answer, for somebody who waits for it. */
export function why(outcome: Exclude<Outcome<unknown>, { got: "answer" }>): string {
    if (outcome.got === "no") return outcome.words;
    return outcome.busy ? "The server has much to do: try again in a little while." : no_answer;
}
