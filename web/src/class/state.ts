/** All the learner's page knows, in one value. What the server has acknowledged (`me`) and what it has not (`queue`)
 *  are kept apart; `shown_me` is both together. */
import type { Lesson, Me } from "../hall/answers";
import type { Piece } from "../hall/queue";
import { empty_form, type BuildForm } from "./build_form";

export const views = ["steps", "checks", "build", "mine"] as const;
export type View = (typeof views)[number];

/** Typed and not yet entered: kept on the phone as well. */
export interface Drafts {
    readings: Record<string, string>;
    build: BuildForm;
    help: string;
}
export const no_drafts: Drafts = { readings: {}, build: empty_form, help: "" };

/** A hint: `keep_off` says why the power stays off, `from_sheet` why it does not come from all readings together. */
export interface Given {
    text: string;
    keep_off: string | null;
    from_sheet: string | null;
}

export interface State {
    /** asking: it is not known yet whether this phone has joined. */
    stage: "asking" | "joining" | "in";
    view: View;
    /** Of the address that was scanned. */
    code: string;
    joining: { busy: boolean; trouble: string };
    lesson: Lesson | null;
    me: Me | null;
    queue: Piece[];
    /** The piece that is on its way. */
    flying: string | null;
    /** Tries in vain since the last answer. */
    tries: number;
    online: boolean;
    drafts: Drafts;
    /** Why an entry was not taken, by check; "submit" and "help" too. */
    troubles: Record<string, string>;
    /** Hints by check, by depth from 1. */
    hints: Record<string, Record<number, Given>>;
    /** `during`: the piece that was on its way when it was said. */
    news: { words: string; bad: boolean; during?: string | null } | null;
}

export const initial: State = {
    stage: "asking",
    view: "steps",
    code: "",
    joining: { busy: false, trouble: "" },
    lesson: null,
    me: null,
    queue: [],
    flying: null,
    tries: 0,
    online: true,
    drafts: no_drafts,
    troubles: {},
    hints: {},
    news: null,
};

/** The learner's state with what is still to be sent. */
export function shown_me(me: Me, queue: Piece[]): Me {
    const ticked = new Set(me.ticked);
    let help = me.help;
    for (const { kind, body } of queue) {
        if (kind === "tick" && body["done"] === true) ticked.add(body["step"] as number);
        if (kind === "tick" && body["done"] === false) ticked.delete(body["step"] as number);
        if (kind === "help") help = body["wanted"] === true ? String(body["about"]) : null;
    }
    return { ...me, ticked: [...ticked], help };
}

/** What was typed for a check and waits to be sent; null: nothing does. */
export const waiting_reading = (queue: Piece[], check: string): string | null => {
    const pieces = queue.filter((p) => p.kind === "reading" && p.about === check);
    return pieces.length ? String(pieces[pieces.length - 1]!.body["value"]) : null;
};

/** The first step that is not ticked. */
export const next_step = (lesson: Lesson, me: Me) => {
    const done = new Set(me.ticked);
    return lesson.phases.flatMap((p) => p.steps).find((s) => !done.has(s.id)) ?? null;
};
