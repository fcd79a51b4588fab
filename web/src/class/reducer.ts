/** What happens on the learner's page, and what becomes of its state. */
import { gate_title, type Check, type Lesson, type Me } from "../hall/answers";
import { added, without, type Piece } from "../hall/queue";
import { empty_form } from "./build_form";
import { initial, no_drafts, type Drafts, type Given, type State, type View } from "./state";

export type Action =
    | { do: "view"; view: View }
    | { do: "code"; code: string }
    | { do: "join"; code: string; nickname: string }
    | { do: "join-refused"; words: string }
    | { do: "nobody"; words: string }
    | { do: "joined"; me: Me; queue: Piece[]; drafts: Drafts }
    | { do: "lesson"; lesson: Lesson }
    | { do: "me"; me: Me }
    | { do: "online"; online: boolean }
    | { do: "piece"; piece: Piece }
    /** Another tab of this phone changed the queue. */
    | { do: "queue"; queue: Piece[] }
    | { do: "flies"; once: string }
    | { do: "arrived"; once: string; me: Me; right: boolean | null }
    | { do: "lost" }
    | { do: "refused"; once: string; words: string }
    | { do: "draft"; drafts: Partial<Drafts> }
    | { do: "draft-reading"; check: string; text: string }
    | { do: "trouble"; at: string; words: string }
    | { do: "ask-hint"; check: string; depth: number }
    | { do: "hint"; check: string; depth: number; hint: Given }
    | { do: "leave" }
    | { do: "hush" };
export type Dispatch = (action: Action) => void;

const check_of = (lesson: Lesson | null, id: string): Check | undefined =>
    lesson?.gates.flatMap((g) => g.checks).find((c) => c.id === id);

/** What is said once, at the foot, when a piece has arrived. */
function arrival(s: State, piece: Piece | undefined, right: boolean | null): State["news"] {
    if (piece?.kind === "submit") return { words: "The build has been handed in.", bad: false };
    if (piece?.kind !== "reading" || right === null) return s.news;
    const what = check_of(s.lesson, piece.about)?.what ?? piece.about;
    return { words: `${what}: ${String(piece.body["value"])} is ${right ? "right" : "not right"}.`, bad: !right };
}

/** A gate that has been passed is said, and what is asked behind it. */
function passed(s: State, me: Me): State["news"] {
    const before = s.me?.gate ?? me.gate;
    if (me.gate <= before) return null;
    const next =
        me.gate > 4 ? "All gates are passed." : `Gate ${me.gate}, ${gate_title(me.gate).toLowerCase()}, is open.`;
    return { words: `Gate ${me.gate - 1} is passed. ${next}`, bad: false };
}

/** Both at once: the stream may tell of the gate before the reading that passed it is answered. */
function heard(s: State, me: Me): State {
    const gate = passed(s, me);
    return { ...s, me, news: gate ? { ...gate, during: s.flying } : s.news };
}
function with_gate(s: State, said: State["news"], a: { once: string; me: Me }): State["news"] {
    const gate = passed(s, a.me) ?? (s.news?.during === a.once ? s.news : null);
    return said && gate && said !== gate ? { words: `${said.words} ${gate.words}`, bad: said.bad } : (gate ?? said);
}

const without_key = <T>(of: Record<string, T>, key: string): Record<string, T> => {
    const { [key]: _, ...rest } = of;
    return rest;
};

function queued(s: State, piece: Piece): State {
    const next = {
        ...s,
        queue: added(s.queue, piece, s.flying),
        troubles: without_key(s.troubles, piece.kind === "reading" ? piece.about : piece.kind),
    };
    if (piece.kind !== "reading") return next;
    return { ...next, drafts: { ...s.drafts, readings: without_key(s.drafts.readings, piece.about) } };
}

function arrived(s: State, a: Extract<Action, { do: "arrived" }>): State {
    const piece = s.queue.find((p) => p.once === a.once);
    // A hint draws on all readings: after a further one it may say something else.
    const hints = piece?.kind === "reading" ? {} : s.hints;
    return {
        ...s,
        me: a.me,
        hints,
        queue: without(s.queue, a.once),
        flying: null,
        tries: 0,
        online: true,
        news: with_gate(s, arrival(s, piece, a.right), a),
    };
}

function refused(s: State, a: Extract<Action, { do: "refused" }>): State {
    const piece = s.queue.find((p) => p.once === a.once);
    const at = piece?.kind === "reading" ? piece.about : (piece?.kind ?? "");
    return {
        ...s,
        queue: without(s.queue, a.once),
        flying: null,
        tries: 0,
        online: true,
        news: { words: a.words, bad: true },
        troubles: { ...s.troubles, [at]: a.words },
        drafts:
            piece?.kind === "reading"
                ? { ...s.drafts, readings: { [at]: String(piece.body["value"]), ...s.drafts.readings } }
                : s.drafts,
    };
}

export function reduce(s: State, a: Action): State {
    switch (a.do) {
        case "view":
            return { ...s, view: a.view, news: s.news?.bad ? s.news : null };
        case "code":
            return { ...s, code: a.code };
        case "join":
            return { ...s, joining: { busy: true, trouble: "" } };
        case "join-refused":
            return { ...s, joining: { busy: false, trouble: a.words } };
        case "nobody":
            return {
                ...initial,
                stage: "joining",
                code: s.code,
                lesson: null,
                joining: { busy: false, trouble: a.words },
            };
        case "joined":
            return {
                ...s,
                stage: "in",
                me: a.me,
                queue: a.queue,
                drafts: a.drafts,
                joining: { busy: false, trouble: "" },
                online: true,
            };
        case "lesson":
            return { ...s, lesson: a.lesson };
        case "me":
            return s.stage === "in" ? heard(s, a.me) : s;
        case "online":
            return { ...s, online: a.online, tries: a.online ? 0 : s.tries };
        case "piece":
            return queued(s, a.piece);
        case "queue":
            return { ...s, queue: a.queue };
        case "flies":
            return { ...s, flying: a.once };
        case "arrived":
            return arrived(s, a);
        case "lost":
            return { ...s, flying: null, tries: s.tries + 1 };
        case "refused":
            return refused(s, a);
        case "draft":
            return { ...s, drafts: { ...s.drafts, ...a.drafts } };
        case "draft-reading":
            return { ...s, drafts: { ...s.drafts, readings: { ...s.drafts.readings, [a.check]: a.text } } };
        case "trouble":
            return { ...s, troubles: { ...s.troubles, [a.at]: a.words } };
        case "ask-hint":
            return { ...s, troubles: without_key(s.troubles, a.check) };
        case "hint":
            return { ...s, hints: { ...s.hints, [a.check]: { ...s.hints[a.check], [a.depth]: a.hint } } };
        case "hush":
            return { ...s, news: null };
        case "leave":
            return s;
    }
}

/** Drafts as storage holds them; what is missing or none of ours is empty. */
export function read_drafts(text: string | null): Drafts {
    try {
        const found = JSON.parse(text ?? "null") as Partial<Drafts> | null;
        return { ...no_drafts, ...found, build: { ...empty_form, ...found?.build } };
    } catch {
        return no_drafts;
    }
}
