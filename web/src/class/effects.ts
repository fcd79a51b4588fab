/** What follows from an action on the learner's page: sending, listening, keeping, and the address. */
import type { Lesson, Me, Who } from "../hall/answers";
import { get, patiently, post, set_token, why } from "../hall/calls";
import { Listening } from "../hall/listening";
import { pause, read_queue, without, type Piece } from "../hall/queue";
import { later, type Following, type Held } from "../effects/held";
import { keep, kept } from "../effects/kept";
import { read_drafts, type Action } from "./reducer";
import { views, type Drafts, type State } from "./state";

export type Store = Held<State, Action>;
export type Effect = Following<State, Action>;

/** One seat on this phone: who it is, and of which lesson. */
const queue_key = "voltsill class queue";
const drafts_key = "voltsill class drafts";
const seat_key = "voltsill class seat";

/** Why the seat is no more, as the stream says it; of a phone that was asleep meanwhile nothing is known. */
const seat_ended: Record<string, string> = {
    "class-ended":
        "The class has ended, and everything that was kept of you is deleted. " +
        "Nobody can join until there is a new code.",
    deleted:
        "The instructor has deleted this seat and everything that was kept of you. " +
        "The code of the room lets you join as new.",
    device:
        "The instructor has closed this seat for this device; your work is kept. " +
        "Ask the instructor before you join again.",
};
const seat_lost =
    "This seat has ended: the class is over, or the instructor deleted or closed the seat. " +
    "Ask for the code that holds now.";

/** Whoever sits here now finds only what is their own. */
function seated(me: Me): { queue: Piece[]; drafts: Drafts } {
    if (kept(seat_key) !== me.nickname) {
        keep(queue_key, null);
        keep(drafts_key, null);
        keep(seat_key, me.nickname);
    }
    return { queue: read_queue(kept(queue_key)), drafts: read_drafts(kept(drafts_key)) };
}
function forget() {
    for (const key of [queue_key, drafts_key, seat_key]) keep(key, null);
}

/** Who leaves hears of the end of the seat before the answer; what is kept on the phone goes with the answer. */
let leaving = false;

/** Joining, and finding out after a reload that one has joined. */
export function entering(store: Store): Effect {
    const lost = () => store.dispatch({ do: "online", online: false });
    const ask = async () => {
        const who = await patiently(() => get<Who>("who"), lost);
        if (who.got === "answer") set_token(who.value.token);
        const is_learner = who.got === "answer" && who.value.role === "learner";
        const me = is_learner ? await patiently(() => get<Me>("me"), lost) : null;
        if (me?.got === "answer") store.dispatch({ do: "joined", me: me.value, ...seated(me.value) });
        else store.dispatch({ do: "nobody", words: "" });
    };
    const join = async (code: string, nickname: string) => {
        const outcome = await post<{ token: string; learner: Me }>("join", { code, nickname });
        if (outcome.got !== "answer") return store.dispatch({ do: "join-refused", words: why(outcome) });
        set_token(outcome.value.token);
        store.dispatch({ do: "joined", me: outcome.value.learner, ...seated(outcome.value.learner) });
    };
    const leave = async () => {
        leaving = true;
        const outcome = await post("leave");
        leaving = false;
        if (outcome.got !== "answer") return store.dispatch({ do: "trouble", at: "leave", words: why(outcome) });
        forget();
        set_token(null);
        store.dispatch({ do: "nobody", words: "Everything that was kept of you has been deleted." });
    };
    void ask();
    return (action, before, after) => {
        if (action.do === "join") void join(action.code, action.nickname);
        if (action.do === "leave") void leave();
        if (before.stage !== "in" && after.stage === "in" && !after.lesson)
            void patiently(() => get<Lesson>("lesson"), lost).then((lesson) => {
                if (lesson.got === "answer") store.dispatch({ do: "lesson", lesson: lesson.value });
            });
    };
}

/** Hears of every change of the own state: gates that were passed, and the end of the seat. */
export function hearing(store: Store): Effect {
    const ended = (why = "") => {
        if (store.state.stage === "in" && !leaving)
            store.dispatch({ do: "nobody", words: seat_ended[why] ?? seat_lost });
    };
    const listening = new Listening("me/events", {
        on: {
            me: (me) => store.dispatch({ do: "me", me: me as Me }),
            gone: (gone) => ended((gone as { why?: string }).why),
        },
        there: (online) => store.dispatch({ do: "online", online }),
        still: async () => {
            const who = await get<Who>("who");
            if (who.got !== "answer") return true; // not heard: the stream will tell
            set_token(who.value.token);
            if (who.value.role === "learner") return true;
            ended();
            return false;
        },
    });
    return (_action, before, after) => {
        if (before.stage !== "in" && after.stage === "in") listening.start();
        if (before.stage === "in" && after.stage !== "in") listening.stop();
    };
}

const paths: Record<Piece["kind"], string> = { tick: "tick", reading: "reading", help: "help", submit: "submit" };

/** Sends the queue, one piece after another, for as long as it takes. */
export function sending(store: Store): Effect {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let waiting = false;
    const wait = (ms: number) => {
        clearTimeout(timer);
        waiting = true;
        timer = setTimeout(go, ms);
    };
    const go = () => {
        clearTimeout(timer);
        waiting = false;
        const { stage, flying, queue } = store.state;
        if (stage === "in" && flying === null && queue[0]) void send(queue[0]);
    };
    const send = async (piece: Piece) => {
        store.dispatch({ do: "flies", once: piece.once });
        const outcome = await post<Me | { right?: boolean; learner: Me }>(paths[piece.kind], {
            ...piece.body,
            once: piece.once,
        });
        if (outcome.got === "answer") {
            const value = outcome.value;
            store.dispatch({
                do: "arrived",
                once: piece.once,
                me: "learner" in value ? value.learner : value,
                right: "right" in value ? (value.right ?? null) : null,
            });
        } else if (outcome.got === "no" && outcome.code !== "wrong-token" && outcome.status !== 401) {
            store.dispatch({ do: "refused", once: piece.once, words: outcome.words });
        } else {
            // 401: the stream finds out whether the seat has ended
            store.dispatch({ do: "lost" });
            wait(Math.max(outcome.got === "nothing" ? outcome.after : 0, pause(store.state.tries, Math.random())));
        }
    };
    return (action, before, after) => {
        const back = action.do === "online" && action.online;
        if (
            back ||
            (!waiting &&
                after.flying === null &&
                after.queue.length > 0 &&
                (before.queue !== after.queue || before.stage !== after.stage))
        )
            go();
    };
}

export function hinting(store: Store): Effect {
    return (action) => {
        if (action.do !== "ask-hint") return;
        const { check, depth } = action;
        void post<{ hint: string; keep_off: string | null; from_sheet: string | null }>("hint", { check, depth }).then(
            (outcome) => {
                if (outcome.got !== "answer") return store.dispatch({ do: "trouble", at: check, words: why(outcome) });
                const { hint: text, keep_off, from_sheet } = outcome.value;
                store.dispatch({ do: "hint", check, depth, hint: { text, keep_off, from_sheet } });
            },
        );
    };
}

/** The queue and what was typed lie in the browser's storage, shared by all tabs of this phone. */
export function keeping(store: Store): Effect {
    const draft_pause = later(300);
    addEventListener("storage", (e) => {
        if (e.key === queue_key && store.state.stage === "in")
            store.dispatch({ do: "queue", queue: read_queue(e.newValue) });
    });
    return (action, before, after) => {
        if (after.stage !== "in") return;
        if (action.do === "piece" || action.do === "arrived" || action.do === "refused")
            keep(queue_key, JSON.stringify(kept_queue(action, before, after)));
        if (before.drafts !== after.drafts)
            draft_pause.start(() => keep(drafts_key, JSON.stringify(store.state.drafts)));
    };
}
/** The storage as it is now with this one change, for another tab may have written meanwhile. */
function kept_queue(action: Action, before: State, after: State): Piece[] {
    const stored = read_queue(kept(queue_key));
    const known = new Set(stored.map((p) => p.once));
    const left = before.queue
        .filter((p) => !after.queue.includes(p))
        .reduce((queue, p) => without(queue, p.once), stored);
    return action.do === "piece" && !known.has(action.piece.once) ? [...left, action.piece] : left;
}

export function following_the_address(store: Store): Effect {
    const read = () => {
        const hash = location.hash.replace(/^#/, "");
        const view = views.find((v) => hash === `/${v}`);
        if (view) store.dispatch({ do: "view", view });
        else if (hash && !hash.startsWith("/")) store.dispatch({ do: "code", code: hash });
    };
    addEventListener("hashchange", read);
    read();
    return (action, before, after) => {
        if (action.do === "joined" && !location.hash.startsWith("#/"))
            history.replaceState(null, "", `#/${after.view}`);
        if (before.view !== after.view && location.hash !== `#/${after.view}`) location.hash = `/${after.view}`;
    };
}
