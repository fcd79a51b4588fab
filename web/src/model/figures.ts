/** Every figure of a part with its source, as rows: whatever in the answer states where it comes from. */
import type { Origin, Quantity, Span } from "./answers";
import type { Level, PartType } from "./part_answers";
import { level, origin, quantity, span } from "./words";

export interface FigureRow {
    of: string;
    figure: string;
    value: string;
    from: string;
}

type Tree = Record<string, unknown>;
const is_tree = (v: unknown): v is Tree => typeof v === "object" && v !== null && !Array.isArray(v);
const words = (key: string): string => key.replaceAll("_", " ");

/** A quantity, range or level in words; null: it is none. */
function said(v: unknown): string | null {
    if (!is_tree(v)) return null;
    if ("ratio" in v && "offset" in v) return level(v as unknown as Level);
    if ("lo" in v && "hi" in v && "unit" in v)
        return v.lo === null && v.hi === null ? "not stated" : span(v as unknown as Span);
    if ("value" in v && "unit" in v) return v.value === null ? "not stated" : quantity(v as unknown as Quantity);
    return null;
}

const source_of = (v: Tree): string | null =>
    "certainty" in v && "source" in v ? origin(v as unknown as Origin) : null;

/** A row of a table in the part's file, such as a threshold at a supply. */
const cells = (v: Tree): string =>
    Object.entries(v)
        .map(([k, x]) => [
            words(k),
            said(x) ?? (typeof x === "string" && !["certainty", "source"].includes(k) ? x : null),
        ])
        .filter(([, x]) => x)
        .map(([k, x]) => `${k} ${x}`)
        .join(", ");

function walk(of: string, tree: Tree, inherited: string, out: FigureRow[]) {
    const near = is_tree(tree.origin)
        ? source_of(tree.origin)
        : is_tree(tree.limits_origin)
          ? source_of(tree.limits_origin)
          : null;
    const from = near ?? inherited;
    /** Some figures have an origin beside them: `delay_max` and `delay_origin`, a supply's `max` and `max_origin`. */
    const beside = (key: string): string | null => {
        for (const name of [key, key.replace(/_(max|min)$/, ""), key === "min" ? "max" : key]) {
            const at = tree[`${name}_origin`];
            if (is_tree(at)) return source_of(at);
        }
        return null;
    };
    for (const [key, value] of Object.entries(tree)) {
        if (key.endsWith("origin")) continue;
        const text = said(value);
        if (text !== null)
            out.push({ of, figure: words(key), value: text, from: source_of(value as Tree) ?? beside(key) ?? from });
        else if (Array.isArray(value)) {
            for (const row of value)
                if (is_tree(row) && source_of(row) !== null)
                    out.push({ of, figure: words(key), value: cells(row), from: source_of(row)! });
        } else if (is_tree(value) && source_of(value) !== null)
            out.push({ of, figure: words(key), value: cells(value), from: source_of(value)! });
    }
}

export function figures(type: PartType): FigureRow[] {
    const out: FigureRow[] = [];
    const whole = origin(type.origin);
    walk(
        "the part",
        Object.fromEntries(
            Object.entries(type).filter(([k]) => k !== "origin" && !Array.isArray(type[k as keyof PartType])),
        ),
        whole,
        out,
    );
    for (const supply of type.supplies) walk(`supply ${supply.name}`, supply as unknown as Tree, whole, out);
    for (const pin of type.pins) walk(`pin ${pin.name}`, pin as unknown as Tree, whole, out);
    return out.filter((row) => row.value !== "not stated" || row.from !== "unknown");
}

/** Pins with the same figures, as one: "D2..D13" is what a reader wants, not twelve tables. */
export function grouped(all: FigureRow[]): { of: string[]; rows: FigureRow[] }[] {
    const by_of = new Map<string, FigureRow[]>();
    for (const row of all) by_of.set(row.of, [...(by_of.get(row.of) ?? []), row]);
    const groups = new Map<string, { of: string[]; rows: FigureRow[] }>();
    for (const [of, rows] of by_of) {
        const key = JSON.stringify(rows.map((r) => [r.figure, r.value, r.from]));
        const known = groups.get(key);
        if (known) known.of.push(of);
        else groups.set(key, { of: [of], rows });
    }
    return [...groups.values()];
}
