/** Words that pages of the hall share. */

/** A hole as one says it: "12c" is in row 12, "12s" in strip s. Other ends are names. */
const hole = /^(?:([A-Z]) )?(\d+)([a-z])$/;
export function end_words(end: string): string {
    const found = hole.exec(end);
    if (!found) return end;
    const [, board, number, letter] = found;
    const where = /[s-z]/.test(letter!) ? `strip ${letter}, hole ${number}` : `row ${number}, hole ${letter}`;
    return board ? `board ${board}, ${where}` : where;
}

const minute = 60;
const hour = 3600;
const day = 86400;
/** How long ago, at `now`; both in seconds. */
export function ago(then: number, now: number): string {
    const past = now - then;
    if (past < 45) return "just now";
    if (past < 90 * minute) return `${Math.max(1, Math.round(past / minute))} min ago`;
    return past < 36 * hour ? `${Math.round(past / hour)} h ago` : `${Math.round(past / day)} days ago`;
}

export const date_words = (seconds: number): string =>
    new Date(1000 * seconds).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
export const time_words = (seconds: number): string =>
    new Date(1000 * seconds).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });

export const mark_words = (points: number, of: number): string =>
    `${Number(points.toFixed(1))} of ${Number(of.toFixed(1))}`;

/** One check of several pins, as the sheets write it: "U1.3 (1A, 6e), U1.7 (3A, 10e) to ground". */
export const of_several = (what: string): boolean => what.includes("), ");
