/** Undo as a history of texts: each with where the cursor was and a word for the change that led to it. */
export interface Selection {
    anchor: number;
    head: number;
}
export interface Moment {
    text: string;
    selection: Selection;
    /** What led to this text: "join tank echo", "typing". */
    word: string;
    /** Milliseconds; typing that goes on is one moment. */
    at: number;
}
export interface History {
    past: Moment[];
    present: Moment;
    future: Moment[];
}

export const typing = "typing";
/** Ends a stretch of typing. */
const pause = 800;
/** Characters in all kept texts together; the oldest go first. */
const most_kept = 20e6;

export function begin(text: string): History {
    return { past: [], present: { text, selection: { anchor: 0, head: 0 }, word: "", at: 0 }, future: [] };
}

function trimmed(past: Moment[]): Moment[] {
    let kept = 0;
    let first = past.length;
    while (first > 0 && kept + past[first - 1]!.text.length <= most_kept) kept += past[--first]!.text.length;
    return first === 0 ? past : past.slice(first);
}

export function changed(history: History, next: Moment): History {
    const { past, present } = history;
    if (next.text === present.text) return { ...history, present: { ...present, selection: next.selection } };
    const goes_on = next.word === typing && present.word === typing && next.at - present.at < pause;
    return { past: goes_on ? past : trimmed([...past, present]), present: next, future: [] };
}

export function undone(history: History): History {
    const { past, present, future } = history;
    const last = past.at(-1);
    return last ? { past: past.slice(0, -1), present: last, future: [present, ...future] } : history;
}

export function redone(history: History): History {
    const { past, present, future } = history;
    const next = future[0];
    return next ? { past: [...past, present], present: next, future: future.slice(1) } : history;
}

/** The words of what undo and redo would do next; null: nothing. */
export const undo_word = (h: History): string | null => (h.past.length ? h.present.word : null);
export const redo_word = (h: History): string | null => h.future[0]?.word ?? null;
