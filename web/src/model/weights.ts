/** How often a kind of fault is met: the table [weights] of a readings file, a line a kind. */
const is_head = (row: string): boolean => /^\s*\[/.test(row);
const is_weights = (row: string): boolean => /^\s*\[\s*weights\s*\]/.test(row);
const key_in = (row: string): string | null => /^\s*"?([a-z-]+)"?\s*=/.exec(row)?.[1] ?? null;

/** Rows of the table: its head and the first row behind it; null: there is none. */
function table_in(rows: string[]): { head: number; end: number } | null {
    const head = rows.findIndex(is_weights);
    if (head < 0) return null;
    let end = head + 1;
    while (end < rows.length && !is_head(rows[end]!)) ++end;
    return { head, end };
}

/** The text with this kind met so often; null: as often as is usual. */
export function with_weight(text: string, kind: string, weight: number | null): string {
    const rows = text === "" ? [] : text.replace(/\n$/, "").split("\n");
    const line = `${kind} = ${weight}`;
    const table = table_in(rows);
    if (!table)
        return weight === null ? text : [...rows, ...(rows.length > 0 ? [""] : []), "[weights]", line, ""].join("\n");
    const at = rows.findIndex((row, i) => i > table.head && i < table.end && key_in(row) === kind);
    if (at >= 0) rows.splice(at, 1, ...(weight === null ? [] : [line]));
    else if (weight !== null) rows.splice(table.head + 1, 0, line);
    const left = table_in(rows)!;
    if (rows.slice(left.head + 1, left.end).every((row) => row.trim() === ""))
        rows.splice(left.head, left.end - left.head);
    while (rows.at(-1) === "") rows.pop();
    return rows.length > 0 ? `${rows.join("\n")}\n` : "";
}

/** As typed: a number from 0; null: it is none. */
export function weight_typed(words: string): number | null {
    const plain = words.trim().replace(",", ".");
    return /^\d*\.?\d+$/.test(plain) ? Number(plain) : null;
}
