/** The frame of the instructor's page. */
import { useEffect, useRef } from "preact/hooks";
import { ClassView } from "./class_view";
import { JoinScreen } from "./join_screen";
import { LearnerView } from "./learner";
import type { Dispatch } from "./reducer";
import { RoomView } from "./room";
import { SignIn } from "./sign_in";
import { hash_of, urgent, type State } from "./state";

interface Props {
    s: State;
    dispatch: Dispatch;
}

const tabs = [
    ["room", "Room"],
    ["join", "Join"],
    ["class", "Class"],
] as const;

function View({ s, dispatch }: Props) {
    const room = s.room!;
    switch (s.route.view) {
        case "room":
            return <RoomView s={s} room={room} dispatch={dispatch} />;
        case "join":
            return <JoinScreen room={room} />;
        case "class":
            return <ClassView s={s} room={room} dispatch={dispatch} />;
        case "learner":
            return s.full ? (
                <LearnerView s={s} full={s.full} dispatch={dispatch} />
            ) : (
                <>
                    <h1>Learner</h1>
                    <p role="status">One moment</p>
                </>
            );
    }
}

export function App({ s, dispatch }: Props) {
    const main = useRef<HTMLElement>(null);
    const first = useRef(true);
    const there = s.stage === "in" && s.room !== null && (s.route.view !== "learner" || s.full !== null);
    const danger = s.room ? urgent(s.room.learners).danger.length : 0;
    useEffect(() => {
        document.title = `${danger > 0 ? "✗ STOP - " : ""}${document.querySelector("h1")?.textContent ?? "Class"} - Voltsill`;
    });
    useEffect(() => {
        if (!there) return;
        if (!first.current) {
            main.current?.focus();
            scrollTo(0, 0);
        }
        first.current = false;
    }, [hash_of(s.route), there]);
    if (s.stage === "signing-in") return <SignIn s={s} dispatch={dispatch} />;
    if (s.stage !== "in" || !s.room)
        return (
            <main class="narrow">
                <h1>Class</h1>
                <p role="status">
                    {s.online ? "One moment" : "The server does not answer yet. This page goes on as soon as it does."}
                </p>
            </main>
        );
    return (
        <>
            <a
                class="skip"
                href="#view"
                onClick={(e) => {
                    e.preventDefault();
                    main.current?.focus();
                }}>
                To the content
            </a>
            <header class="hall-top wide">
                <p class="name">
                    <strong>Voltsill class</strong> <span class="mono">{s.room.bench}</span>
                </p>
                <nav aria-label="Views">
                    <ul>
                        {tabs.map(([view, title]) => (
                            <li key={view}>
                                <a href={`#/${view}`} aria-current={s.route.view === view ? "page" : undefined}>
                                    {title}
                                </a>
                            </li>
                        ))}
                    </ul>
                </nav>
            </header>
            <section class="banners" aria-label="Notices">
                <p class={`network ${s.online ? "" : "silent"}`} role="status">
                    {s.online ? "" : "No answer from the server: what is shown is what it said last."}
                </p>
                {danger > 0 && s.route.view !== "room" && s.route.view !== "learner" && (
                    <div class="stop" role="status">
                        <p class="stop-head">
                            <span aria-hidden="true">✗ </span>STOP:{" "}
                            <a href="#/room">
                                {danger === 1 ? "one build must" : `${danger} builds must`} not be powered
                            </a>
                        </p>
                    </div>
                )}
                {s.room.warning && <p class="notice trouble no-print">! {s.room.warning}</p>}
            </section>
            <main id="view" ref={main} tabIndex={-1}>
                <View s={s} dispatch={dispatch} />
            </main>
            <p class={`foot ${s.news?.bad ? "trouble" : ""}`} role="status" hidden={!s.news}>
                {s.news?.words}
                {s.news && (
                    <button class="quiet" onClick={() => dispatch({ do: "hush" })}>
                        Close<span class="unseen"> this message</span>
                    </button>
                )}
            </p>
        </>
    );
}
