/** What a bench file asks for with `interface`: a circuit, and the part that shall do it. */
import type { Candidate, Verdict } from "./answers";

/** As the file has it: "divider", "low-rail-buffer LV-A 125". */
export const wish_of = (c: Candidate): string => (c.part ? `${c.circuit} ${c.part}` : c.circuit);

/** The same for a reader, with the titles of the circuits. */
export function wish_words(wish: string, circuits: { name: string; title: string }[]): string {
    const [name = "", ...part] = wish.split(" ");
    const title = circuits.find((c) => c.name === name)?.title ?? name;
    return part.length > 0 ? `${title}, ${part.join(" ")}` : title;
}

const order: Verdict[] = ["safe", "thin", "unknown", "unreadable", "harmful"];

/** What the button says that takes a candidate; null: it cannot be had. */
export function use_words(c: Candidate, chosen: Candidate | null): string | null {
    if (!c.choosable) return null;
    const worse = order.indexOf(c.verdict) > order.indexOf(chosen?.verdict ?? "safe");
    return worse ? `Use this all the same: ${c.verdict}` : "Use this";
}
