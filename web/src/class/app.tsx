/** The frame of the learner's page: who, which gate, what is not sent yet, help, and one view. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { Lesson, Me } from "../hall/answers";
import { heading_near, useKeptFocus } from "../hall/kept_focus";
import { gate_words, Stop, Tabs, Waiting } from "../hall/pieces";
import { Foot, SkipLink } from "../views/pieces";
import { useViewStart } from "../views/view_start";
import { BuildView } from "./build";
import { Checks, next_asked } from "./checks";
import { Join } from "./join";
import { Mine } from "./mine";
import { ask_for_help } from "./pieces";
import type { Dispatch } from "./reducer";
import { Steps } from "./steps";
import { shown_me, type State, type View } from "./state";

interface Props {
    s: State;
    dispatch: Dispatch;
}
const titles: Record<View, string> = { steps: "Steps", checks: "Checks", build: "Build", mine: "Mine" };

function Help({ s, me, dispatch }: Props & { me: Me }) {
    const [asking, set_asking] = useState(false);
    const about = useRef<HTMLInputElement>(null);
    useEffect(() => about.current?.focus(), [asking]);
    if (me.help !== null)
        return (
            <p class="help wanted">
                <span class="grow">
                    <strong>! Help is wanted</strong>
                    {me.help && <>: {me.help}</>}
                </span>{" "}
                <button onClick={() => ask_for_help(dispatch, false, "")}>No longer</button>
            </p>
        );
    if (!asking)
        return (
            <p class="help">
                <button onClick={() => set_asking(true)}>Ask for help</button>
            </p>
        );
    return (
        <form
            class="help"
            onSubmit={(e) => {
                e.preventDefault();
                ask_for_help(dispatch, true, s.drafts.help);
                set_asking(false);
                dispatch({ do: "draft", drafts: { help: "" } });
            }}>
            <label for="help-about">What about? (optional)</label>
            <input
                id="help-about"
                ref={about}
                value={s.drafts.help}
                maxLength={200}
                autocomplete="off"
                onInput={(e) => dispatch({ do: "draft", drafts: { help: e.currentTarget.value } })}
            />
            <button class="main">Ask</button>{" "}
            <button type="button" onClick={() => set_asking(false)}>
                Do not
            </button>
        </form>
    );
}

/** Told once when the network goes and once when it is back, not for every piece. */
function Network({ s }: { s: State }) {
    const silent = !s.online || s.tries > 1;
    const n = s.queue.length;
    const kept =
        n === 0
            ? "what you enter is kept on this phone and sent when it is back."
            : `${n} ${n === 1 ? "entry" : "entries"} kept on this phone, sent when it is back.`;
    return (
        <p class={`network ${silent ? "silent" : ""}`} role="status">
            {silent && `No answer from the server. Go on: ${kept}`}
        </p>
    );
}

function Frame({ s, lesson, dispatch }: Props & { lesson: Lesson }) {
    const me = shown_me(s.me!, s.queue);
    const main = useViewStart(s.view);
    useKeptFocus(main, s.view === "checks" ? (lost) => next_asked(lost, me.gate) : heading_near);
    useEffect(() => {
        document.title = `${titles[s.view]} - ${lesson.title}`;
    }, [s.view]);
    const View = { steps: Steps, checks: Checks, build: BuildView, mine: Mine }[s.view];
    return (
        <>
            <SkipLink to={main} />
            <header class="hall-top">
                <p class="name">
                    <strong>{lesson.title}</strong> <span>{me.nickname}</span>
                </p>
                <p class="gate-line" role="status">
                    {gate_words(me)}
                </p>
                <Tabs views={titles} here={s.view} />
            </header>
            <section class="banners" aria-label="Notices">
                <div role="status">{me.danger && <Stop why={me.danger} />}</div>
                <Network s={s} />
                <Help s={s} me={me} dispatch={dispatch} />
            </section>
            <main id="view" ref={main} tabIndex={-1}>
                <View s={s} lesson={lesson} me={me} dispatch={dispatch} />
            </main>
            <Foot news={s.news} hush={() => dispatch({ do: "hush" })} />
        </>
    );
}

export function App({ s, dispatch }: Props) {
    if (s.stage === "joining") return <Join s={s} dispatch={dispatch} />;
    if (s.stage === "in" && s.me && s.lesson) return <Frame s={s} lesson={s.lesson} dispatch={dispatch} />;
    return <Waiting online={s.online} />;
}
