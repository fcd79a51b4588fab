/** What follows from an action on the instructor's page: signing in, the stream of the room, deeds, and the clock. */
import type { InFull, Room, Row, Summary, Who } from "../hall/answers";
import { get, patiently, post, set_token, why, type Outcome } from "../hall/calls";
import { Listening } from "../hall/listening";
import { later, type Following, type Held } from "../effects/held";
import { name_of_deed, type Action, type Deed } from "./reducer";
import { missing_of, type State } from "./state";

export type Store = Held<State, Action>;
export type Effect = Following<State, Action>;

const ended =
    "The session has ended, as it does after 12 hours or when the server was started again. " +
    "Nothing of the class is lost: sign in again.";

export function entering(store: Store): Effect {
    const lost = () => store.dispatch({ do: "online", online: false });
    const ask = async () => {
        const who = await patiently(() => get<Who>("who"), lost);
        if (who.got === "answer") set_token(who.value.token);
        const is_instructor = who.got === "answer" && who.value.role === "instructor";
        store.dispatch(is_instructor ? { do: "in" } : { do: "nobody", words: "" });
    };
    const sign_in = async (passphrase: string) => {
        const outcome = await post<{ token: string }>("sign-in", { passphrase });
        if (outcome.got !== "answer") return store.dispatch({ do: "sign-in-refused", words: why(outcome) });
        set_token(outcome.value.token);
        store.dispatch({ do: "in" });
    };
    const sign_out = async () => {
        const outcome = await post("sign-out");
        store.dispatch(
            outcome.got === "answer"
                ? { do: "nobody", words: "Signed out." }
                : { do: "done", what: "sign-out", news: { words: why(outcome), bad: true } },
        );
    };
    void ask();
    return (action) => {
        if (action.do === "sign-in") void sign_in(action.passphrase);
        if (action.do === "sign-out") void sign_out();
    };
}

export function hearing(store: Store): Effect {
    const listening = new Listening("room/events", {
        on: {
            room: (room) => store.dispatch({ do: "room", room: room as Room }),
            learner: (row) => store.dispatch({ do: "row", row: row as Row }),
            left: (left) => store.dispatch({ do: "left", id: (left as { id: number }).id }),
        },
        there: (online) => store.dispatch({ do: "online", online }),
        still: async () => {
            const who = await get<Who>("who");
            if (who.got !== "answer" || who.value.role === "instructor") return true;
            store.dispatch({ do: "nobody", words: ended });
            return false;
        },
    });
    return (_action, before, after) => {
        if (before.stage !== "in" && after.stage === "in") listening.start();
        if (before.stage === "in" && after.stage !== "in") listening.stop();
    };
}

const deed_words: Record<Deed, (who: string, gate: number) => string> = {
    pass: (who, gate) => `Gate ${gate} is passed: ${who}.`,
    back: (who, gate) => `Gate ${gate} is to be passed again: ${who}.`,
    helped: () => "Help is noted as given.",
    reset: () => "The work of this learner was deleted; the seat stays.",
    remove: () => "The device is shut out; its work is kept.",
    readmit: () => "Another device may take this seat by the code and the same nickname.",
    delete: () => "Everything of this learner was deleted.",
};

/** Each wish of the instructor is one call; what became of it is said at the foot. */
export function doing(store: Store): Effect {
    const ask = async <T>(what: string, call: () => Promise<Outcome<T>>, done: string, take?: (value: T) => void) => {
        store.dispatch({ do: "busy", what });
        const outcome = await call();
        if (outcome.got === "answer") take?.(outcome.value);
        store.dispatch({
            do: "done",
            what,
            news: outcome.got === "answer" ? { words: done, bad: false } : { words: why(outcome), bad: true },
        });
        if (outcome.got === "no" && outcome.status === 401) store.dispatch({ do: "nobody", words: ended });
    };
    const take_room = (room: Room) => store.dispatch({ do: "room", room });
    return (action) => {
        if (action.do === "deed") {
            const { learner, deed, gate } = action;
            const what = name_of_deed(learner, deed);
            const who = store.state.room?.learners.find((r) => r.id === learner)?.nickname ?? "";
            if (deed === "delete")
                void ask(
                    what,
                    () => post("delete", { learner }),
                    deed_words.delete(who, gate),
                    () => store.dispatch({ do: "left", id: learner }),
                );
            else
                void ask<Row>(
                    what,
                    () => post("learner", { learner, do: deed, gate }),
                    deed_words[deed](who, gate),
                    (row) => store.dispatch({ do: "row", row }),
                );
        }
        if (action.do === "code")
            void ask<Room>(
                "code",
                () => post("code", action.open ? { open: true, hours: action.hours } : { open: false }),
                action.open ? "There is a new code; the old one no longer holds." : "Nobody can join any more.",
                take_room,
            );
        if (action.do === "settings")
            void ask<Room>(
                "settings",
                () => post("settings", { hints: action.hints, marks: action.marks }),
                "Set for everybody.",
                take_room,
            );
        if (action.do === "backup")
            void ask("backup", () => post("backup"), "A copy of the class lies beside its file.");
        if (action.do === "end-class")
            void ask<Room>(
                "end-class",
                () => post("end", { learners: action.learners }),
                "The class has ended; everything of its learners is deleted.",
                take_room,
            );
    };
}

/** The learner and the summary that are looked at, again when something in the room has changed. */
export function looking(store: Store): Effect {
    const pause_full = later(250);
    const pause_summary = later(1000);
    const full = async (id: number) => {
        const outcome = await get<InFull>(`learner?learner=${id}`);
        if (outcome.got === "answer") store.dispatch({ do: "full", full: outcome.value });
        else if (outcome.got === "no" && outcome.status === 404) store.dispatch({ do: "left", id });
    };
    const summary = async () => {
        const outcome = await get<Summary>("summary");
        if (outcome.got === "answer") store.dispatch({ do: "summary", summary: outcome.value });
    };
    return (action, before, after) => {
        if (after.stage !== "in") return;
        const came = before.route !== after.route || before.stage !== "in";
        const news = action.do === "row" || action.do === "room" || action.do === "left";
        const { route } = after;
        if (route.view === "learner" && came) void full(route.id);
        else if (
            route.view === "learner" &&
            (action.do === "room" || (action.do === "row" && action.row.id === route.id))
        )
            pause_full.start(() => void full(route.id));
        if (route.view === "class" && came) void summary();
        else if (route.view === "class" && news) pause_summary.start(() => void summary());
    };
}

/** What a gate lacks is looked up when it is asked about; where nothing does, nobody is asked. */
export function asking(store: Store): Effect {
    const look = async ({ id }: Row, gate: number) => {
        const outcome = await get<InFull>(`learner?learner=${id}`);
        if (store.state.asked?.row.id !== id) return;
        if (outcome.got !== "answer") {
            store.dispatch({ do: "asked-over" });
            return store.dispatch({ do: "done", what: "", news: { words: why(outcome), bad: true } });
        }
        if (missing_of(outcome.value, gate).length > 0)
            return store.dispatch({ do: "asked-full", full: outcome.value });
        store.dispatch({ do: "asked-over" });
        store.dispatch({ do: "deed", learner: id, deed: "pass", gate });
    };
    return (action) => {
        if (action.do === "ask-pass") void look(action.row, action.gate);
    };
}

export function keeping_time(store: Store): Effect {
    const tell = () => store.dispatch({ do: "now", now: Math.floor(Date.now() / 1000) });
    setInterval(tell, 15000);
    tell();
    return () => undefined;
}
