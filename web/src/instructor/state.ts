/** All the instructor's page knows, in one value; the room comes as a stream and is kept up learner by learner. */
import type { FullCheck, InFull, Room, Row, Summary } from "../hall/answers";
import { count } from "../model/words";

export type Route = { view: "room" | "join" | "class" } | { view: "learner"; id: number };

export interface State {
    stage: "asking" | "signing-in" | "in";
    route: Route;
    signing: { busy: boolean; trouble: string };
    room: Room | null;
    online: boolean;
    /** The learner that is looked at, as of the last answer. */
    full: InFull | null;
    summary: Summary | null;
    /** A gate that somebody is to be let pass who has not done all of it; `full` comes with the next answer. */
    asked: { row: Row; gate: number; full: InFull | null } | null;
    /** Seconds since 1970, for "4 min ago". */
    now: number;
    /** What is being done: buttons of it wait. */
    busy: string[];
    news: { words: string; bad: boolean } | null;
}

export const initial: State = {
    stage: "asking",
    route: { view: "room" },
    signing: { busy: false, trouble: "" },
    room: null,
    online: true,
    full: null,
    summary: null,
    asked: null,
    now: 0,
    busy: [],
    news: null,
};

export function route_of(hash: string): Route {
    const [view, id] = hash.replace(/^#\/?/, "").split("/");
    if (view === "learner" && Number(id) > 0) return { view, id: Number(id) };
    return { view: view === "join" || view === "class" ? view : "room" };
}
export const hash_of = (route: Route): string =>
    route.view === "learner" ? `#/learner/${route.id}` : `#/${route.view}`;

/** Who needs the instructor, most urgent first: danger, then help by who waits longest, then gates to be passed. */
export function urgent(rows: Row[]): { danger: Row[]; help: Row[]; waiting: Row[] } {
    const active = rows.filter((r) => !r.removed);
    return {
        danger: active.filter((r) => r.danger !== null),
        help: active.filter((r) => r.help !== null).sort((a, b) => a.help!.since - b.help!.since),
        waiting: active.filter((r) => r.waiting && r.danger === null),
    };
}

/** What is not there of a gate that is to be passed, in words; nothing: all of it is. */
export function missing_of({ row, checks, build }: InFull, gate: number): string[] {
    const of_gate = checks.filter((c) => c.gate === gate);
    const unread = of_gate.filter((c) => c.right === null);
    const wrong = of_gate.filter((c) => c.right === false);
    const named = (these: FullCheck[]) => these.map((c) => c.what).join("; ");
    const out: string[] = [];
    if (row.danger) out.push(`STOP: ${row.danger}`);
    if (unread.length > 0 && unread.length === of_gate.length)
        out.push(`None of the ${count(of_gate.length, "reading")} of this gate is taken.`);
    else if (unread.length > 0) out.push(`Not taken, ${unread.length} of ${of_gate.length}: ${named(unread)}.`);
    if (wrong.length > 0) out.push(`Not right, ${wrong.length} of ${of_gate.length}: ${named(wrong)}.`);
    if (out.length > 0 && gate === 1 && row.ticked === 0) out.push("No step is ticked.");
    if (out.length > 0 && gate === 1 && build === null) out.push("No build has been handed in.");
    return out;
}

/** All that goes when the class is ended, as numbers. */
export const kept_of = (rows: Row[]): { learners: number; readings: number; builds: number } => ({
    learners: rows.length,
    readings: rows.reduce((sum, r) => sum + r.tries, 0),
    builds: rows.reduce((sum, r) => sum + r.builds, 0),
});

/** The same everywhere on the page: whoever is in danger, then by name. */
export const in_order = (rows: Row[]): Row[] =>
    [...rows].sort(
        (a, b) =>
            Number(b.danger !== null) - Number(a.danger !== null) ||
            a.nickname.localeCompare(b.nickname, "en", { numeric: true }),
    );
