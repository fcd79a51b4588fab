/** The one stretch in which two texts differ: replacing from..to of `a` by `insert` gives `b`. */
export function difference(a: string, b: string): { from: number; to: number; insert: string } {
    let from = 0;
    const least = Math.min(a.length, b.length);
    while (from < least && a[from] === b[from]) ++from;
    let end = 0;
    while (end < least - from && a[a.length - 1 - end] === b[b.length - 1 - end]) ++end;
    return { from, to: a.length - end, insert: b.slice(from, b.length - end) };
}
