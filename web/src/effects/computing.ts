/** Asks the engine after every change of the text: the check at once, plan and drawings after a longer pause, the
 *  build while it is looked at. What is outdated is cancelled, and an answer to an older text is dropped. */
import type { AnswerName, Answers } from "../model/actions";
import type { Refusable, TraceStep } from "../model/answers";
import { asked_of, fault_current } from "../model/fault";
import { current, text_of, type State } from "../model/state";
import { is_away, is_busy, post, stream, trouble } from "./api";
import { later, rested, type Effect, type Store } from "./store";

const check_pause = 30;
const plan_pause = 400;
/** A change after so long a rest is one by itself: it is checked at once. */
const rest = 120;

/** Between one asking and the next while the server has too much to do, or does not answer. */
const first_pause = 500;
const longest_pause = 8000;

type Ask<N extends AnswerName> = (
    text: string,
    signal: AbortSignal,
    take: (value: Answers[N], done: boolean) => void,
) => Promise<void>;

/** One running question of a kind: a new one cancels it. */
class Question<N extends AnswerName> {
    private running: AbortController | null = null;
    /** `of` is what an answer belongs to. */
    constructor(
        private readonly store: Store,
        private readonly name: N,
        private readonly of = text_of,
    ) {}

    cancel() {
        if (!this.running) return;
        this.running.abort();
        this.running = null;
        this.store.dispatch({ do: "ended", name: this.name, trouble: "" });
    }
    async ask(ask: Ask<N>) {
        this.cancel();
        const mine = (this.running = new AbortController());
        const of = this.of(this.store.state);
        const { name, store } = this;
        store.dispatch({ do: "asked", name });
        let words: string | null = "";
        const take = (value: Answers[N], done: boolean) => {
            if (this.running === mine) store.dispatch({ do: "answer", name, of, value, done } as never);
        };
        for (let pause = first_pause; ; pause = Math.min(2 * pause, longest_pause)) {
            try {
                await ask(text_of(store.state), mine.signal, take);
                break;
            } catch (error) {
                words = trouble(error);
                if (!(is_busy(error) || is_away(error)) || this.running !== mine) break;
                const why = is_busy(error) ? "The server is busy" : "The server does not answer";
                store.dispatch({ do: "progress", name, share: 0, what: `${why}; asking again by itself` });
            }
            words = "";
            await rested(pause, mine.signal);
            if (this.running !== mine) return;
        }
        if (this.running !== mine) return;
        this.running = null;
        store.dispatch({ do: "ended", name, trouble: words ?? "" });
    }
}

const file_of = (s: State): string => s.doc?.path ?? "bench.toml";
const body = (s: State, text: string, more: object = {}) => ({ file: file_of(s), text, ...more });

type Progress = { share: number; what: string };

/** The answer of a stream of `progress`, `result` and `end`. */
function streamed<N extends AnswerName>(store: Store, name: N, url: string, more: object): Ask<N> {
    return async (text, signal, take) => {
        let came = false;
        await stream(url, body(store.state, text, more), signal, (e) => {
            if (e.name === "progress") store.dispatch({ do: "progress", name, ...(e.data as Progress) });
            if (e.name !== "result") return;
            came = true;
            take(e.data as Answers[N], true);
        });
        if (!came) throw new Error("it ended before its result");
    };
}

/** From the change of the text to its verdict on the screen; read by tests and by whoever is curious. */
function measured(since: number) {
    requestAnimationFrame(() => {
        performance.clearMeasures("verdict shown");
        performance.measure("verdict shown", { start: since });
    });
}

export function checking(store: Store): Effect {
    const question = new Question(store, "check");
    const pause = later(check_pause);
    let since = 0;
    let last = 0;
    const ask = () =>
        void question.ask(async (text, signal, take) => {
            take(await post("/api/check", body(store.state, text), signal), true);
            measured(since);
            since = 0;
        });
    return (action, before, after) => {
        const opened = action.do === "open";
        if (after.doc === null || (!opened && text_of(before) === text_of(after))) return;
        const now = performance.now();
        since ||= now;
        if (now - last > rest) ask();
        else pause.start(ask);
        last = now;
    };
}

export function planning(store: Store): Effect {
    const plan = new Question(store, "plan");
    const drawings = new Question(store, "drawings");
    const pause = later(plan_pause);
    const both = async () => {
        const text = text_of(store.state);
        if (store.state.plan.of !== text)
            await plan.ask(async (t, signal, take) =>
                take(await post("/api/plan", body(store.state, t), signal), true),
            );
        if (text_of(store.state) === text && store.state.drawings.of !== text)
            await drawings.ask(async (t, signal, take) =>
                take(await post("/api/drawings", body(store.state, t), signal), true),
            );
    };
    return (action, before, after) => {
        if (text_of(before) !== text_of(after) || action.do === "open") {
            pause.stop();
            plan.cancel();
            drawings.cancel();
        }
        if (action.do === "answer" && action.name === "check" && action.value.accepted && current(after, after.check))
            pause.start(() => void both());
    };
}

export function building(store: Store): Effect {
    const question = new Question(store, "build");
    const pause = later(plan_pause);
    // The packages to probe are those on the boards: drawn once it is known what to read.
    const shown = (s: State) => s.route.view === "wiring" || (s.route.view === "fault" && s.known !== null);
    const wanted = (s: State) => shown(s) && current(s, s.check) && s.check.value?.accepted === true;
    return (action, before, after) => {
        const left = shown(before) && !shown(after);
        if (left || text_of(before) !== text_of(after) || action.do === "open") {
            pause.stop();
            question.cancel();
        }
        const news =
            action.do === "go" || (action.do === "answer" && (action.name === "check" || action.name === "fault"));
        if (!news || !wanted(after) || current(after, after.build) || after.build.running) return;
        pause.start(
            () => void question.ask(streamed(store, "build", "/api/build", { slips: false, boards: [], seed: 1 })),
        );
    };
}

const asked = ({ readings: r }: State) => ({ readings: r.text, lines: r.lines, pairs: r.pairs });

/** Asks while the fault is looked for, again with every reading; the first answer of a bench takes seconds. */
export function diagnosing(store: Store): Effect {
    const question = new Question(store, "fault", asked_of);
    const pause = later(plan_pause);
    const shown = (s: State) => s.route.view === "fault" && current(s, s.check) && s.check.value?.accepted === true;
    const ask = () =>
        void question.ask(streamed(store, "fault", "/api/diagnose", { ...asked(store.state), boards: [], seed: 1 }));
    return (action, before, after) => {
        const other = before.readings !== after.readings || text_of(before) !== text_of(after) || action.do === "open";
        if (other || (before.route.view === "fault" && after.route.view !== "fault")) {
            pause.stop();
            question.cancel();
        }
        const came = action.do === "go" || action.do === "readings";
        const checked = action.do === "answer" && action.name === "check";
        if (!(came || checked) || !shown(after) || fault_current(after) || store.state.fault.running) return;
        if (checked) pause.start(ask);
        else ask();
    };
}

export function tracing(store: Store): Effect {
    const question = new Question(store, "trace");
    return (action, before, after) => {
        const left = before.route !== after.route || text_of(before) !== text_of(after);
        if (action.do === "stop-trace" || left) question.cancel();
        if (action.do !== "trace") return;
        const { link, rate, samples } = action.wish;
        const wish = { links: [link], samples, rate, seed: 1 };
        void question.ask(async (text, signal, take) => {
            await stream("/api/trace", body(store.state, text, wish), signal, (e) => {
                if (e.name === "progress") store.dispatch({ do: "progress", name: "trace", ...(e.data as Progress) });
                if (e.name !== "result") return;
                const step = e.data as Omit<TraceStep, "accepted" | "problems"> & { trace: Refusable };
                take({ ...step, accepted: step.trace.accepted, problems: step.trace.problems }, step.final);
            });
        });
    };
}

export function printing(store: Store): Effect {
    const question = new Question(store, "sheets");
    return (action, before, after) => {
        if (before.route.view === "sheets" && after.route.view !== "sheets") question.cancel();
        const shown = after.route.view === "sheets" && after.doc !== null;
        const came = shown && before.route.view !== "sheets" && !current(after, after.sheets);
        if (!came && !(action.do === "sheets" && shown)) return;
        const { audience, seats } = after.sheets;
        void question.ask(streamed(store, "sheets", "/api/sheets", { for: audience, seats }));
    };
}
