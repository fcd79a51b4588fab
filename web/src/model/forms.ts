/** What the reader says of a change that a form asks for, before anything is written. */
import type { Check, Problem } from "./answers";

/** A problem, with the line of the changed text that it is about. */
export interface Said {
    problem: Problem;
    line: string;
}
/** What became of the change a form asked for last. */
export interface Form {
    name: string;
    taken: boolean;
    said: Said[];
}

const key_of = (p: Problem): string => `${p.code} ${p.message}`;

/** What the change brings that the text did not have before; nothing: it may be written. */
export function brought(before: Problem[], after: Pick<Check, "accepted" | "problems">, text: string): Said[] {
    if (after.accepted) return [];
    const known = new Set(before.map(key_of));
    const lines = text.split("\n");
    return after.problems
        .filter((p) => p.severity !== "warning" && p.code !== "empty-bench" && !known.has(key_of(p)))
        .map((problem) => ({ problem, line: lines[(problem.place?.line ?? 0) - 1] ?? "" }));
}

/** Whether it is about this value of this key. */
export function is_about({ line }: Said, key: string, value: string): boolean {
    const exact = (words: string) => words.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    return value !== "" && new RegExp(`(^|\\W)${exact(key)}\\s*=\\s*\\[?"${exact(value)}"`).test(line);
}
