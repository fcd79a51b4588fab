/** What a learner did and the server has not yet acknowledged. It is kept on the phone, sent one after another in the
 *  order it was done, and sent again until there is an answer: each piece has a name of its own, so that the server
 *  counts it once even when an answer was lost. */

export interface Piece {
    /** 32 hexadecimal digits; nothing else has it. */
    once: string;
    kind: "tick" | "reading" | "help" | "submit";
    /** Of what: the step, the check. */
    about: string;
    body: Record<string, unknown>;
}

/** 32 hexadecimal digits that nobody else has drawn. */
export const name_of_its_own = (): string =>
    Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");

/** The last word counts of a tick and of a wish for help; readings and builds all count. */
const replaces = (a: Piece, b: Piece) =>
    a.kind === b.kind && a.about === b.about && (a.kind === "tick" || a.kind === "help");

/** `flying` is on its way already and stays. */
export function added(queue: Piece[], piece: Piece, flying: string | null): Piece[] {
    return [...queue.filter((q) => q.once === flying || !replaces(q, piece)), piece];
}

export const without = (queue: Piece[], once: string): Piece[] => queue.filter((q) => q.once !== once);

/** Milliseconds to the next try after `tries` in vain: 1 s, doubled up to 15 s, spread so that a room full of phones
 *  does not come back at one instant. `chance`: 0 to 1. */
export const pause = (tries: number, chance: number): number =>
    Math.min(15000, 1000 * 2 ** Math.min(tries - 1, 4)) * (0.75 + 0.5 * chance);

/** What storage holds, or nothing when it is none of ours. */
export function read_queue(text: string | null): Piece[] {
    try {
        const found: unknown = JSON.parse(text ?? "[]");
        return Array.isArray(found) ? found.filter(is_piece) : [];
    } catch {
        return [];
    }
}

function is_piece(p: unknown): p is Piece {
    const piece = p as Piece | null;
    return (
        typeof piece === "object" &&
        piece !== null &&
        typeof piece.once === "string" &&
        typeof piece.about === "string" &&
        ["tick", "reading", "help", "submit"].includes(piece.kind) &&
        typeof piece.body === "object"
    );
}
