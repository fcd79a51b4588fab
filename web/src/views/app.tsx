/** The page: what is on top of every view, the view, and the text beside it. */
import { useEffect, useLayoutEffect, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { redo_word, undo_word } from "../model/history";
import { hash_of, type Route } from "../model/routes";
import { current, unsaved, type State, type Theme } from "../model/state";
import { BenchView } from "./bench";
import { Problems } from "./problems";
import { FaultView } from "./fault";
import { LinkView } from "./link";
import { spoken } from "./spoken";
import { MergeView } from "./merge";
import { PartsView } from "./parts";
import { Dialog, Field, Foot, SkipLink } from "./pieces";
import { PlanWhy } from "./plan_decides";
import { SheetsView } from "./sheets";
import { StartView } from "./start";
import { TextPane } from "./text";
import { useViewStart } from "./view_start";
import { WiringView } from "./wiring";

interface Props {
    s: State;
    dispatch: Dispatch;
}

function View({ s, dispatch }: Props) {
    const { route } = s;
    if (route.view === "parts") return <PartsView s={s} dispatch={dispatch} type={route.type} />;
    if (s.doc === null || route.view === "start") return <StartView s={s} dispatch={dispatch} />;
    switch (route.view) {
        case "link":
            return <LinkView s={s} dispatch={dispatch} link={route.link} />;
        case "wiring":
            return <WiringView s={s} dispatch={dispatch} />;
        case "fault":
            return <FaultView s={s} dispatch={dispatch} />;
        case "sheets":
            return <SheetsView s={s} dispatch={dispatch} />;
        case "text":
            return (
                <>
                    <h1>Text of the bench</h1>
                    <Problems s={s} dispatch={dispatch} />
                </>
            );
        case "merge":
            return <MergeView s={s} dispatch={dispatch} />;
        default:
            return <BenchView s={s} dispatch={dispatch} />;
    }
}

function Nav({ s }: { s: State }) {
    const here = s.route.view === "link" ? "bench" : s.route.view;
    const to = (route: Route, words: string, name = "") => (
        <li class={name}>
            <a href={hash_of(route)} aria-current={route.view === here ? "page" : undefined}>
                {words}
            </a>
        </li>
    );
    return (
        <nav aria-label="Views">
            <ul>
                {to({ view: "start" }, "Start")}
                {s.doc && (
                    <>
                        {to({ view: "bench" }, "Bench")}
                        {to({ view: "text" }, "Text", "narrow-only")}
                        {to({ view: "wiring" }, "Wiring")}
                        {to({ view: "fault" }, "Find the fault")}
                        {to({ view: "sheets" }, "Sheets")}
                    </>
                )}
                {to({ view: "parts", type: null }, "Parts")}
            </ul>
        </nav>
    );
}

function Tools({ s, dispatch, save }: Props & { save: () => void }) {
    const undo = undo_word(s.history);
    const redo = redo_word(s.history);
    const wide_text = s.route.view === "bench" || s.route.view === "link" || s.route.view === "wiring";
    return (
        <div class="tools" role="group" aria-label="Tools">
            {s.doc && (
                <>
                    <button disabled={undo === null} title="Ctrl+Z" onClick={() => dispatch({ do: "undo" })}>
                        Undo{undo && <span class="what">: {undo}</span>}
                    </button>
                    <button disabled={redo === null} title="Ctrl+Y" onClick={() => dispatch({ do: "redo" })}>
                        Redo{redo && <span class="what">: {redo}</span>}
                    </button>
                    <button class={unsaved(s) ? "main" : ""} disabled={s.doc.saving} title="Ctrl+S" onClick={save}>
                        Save
                    </button>
                    {wide_text && (
                        <button
                            class="wide-only"
                            aria-pressed={s.text_open}
                            onClick={() => dispatch({ do: "text-open", open: !s.text_open })}>
                            Text beside
                        </button>
                    )}
                </>
            )}
            <label class="theme">
                Colours{" "}
                <select
                    value={s.theme}
                    onChange={(e) => dispatch({ do: "theme", theme: e.currentTarget.value as Theme })}>
                    <option value="auto">as the system</option>
                    <option value="light">light</option>
                    <option value="dark">dark</option>
                </select>
            </label>
        </div>
    );
}

function SaveAs({ dispatch, close }: { dispatch: Dispatch; close: () => void }) {
    const [path, set] = useState("bench.toml");
    return (
        <Dialog title="Save the bench" close={close}>
            <form
                onSubmit={(e) => {
                    e.preventDefault();
                    dispatch({ do: "save", path: path.endsWith(".toml") ? path : `${path}.toml` });
                    close();
                }}>
                <Field label="File name in the opened folder" value={path} on={set} required mono focus />
                <p class="actions">
                    <button class="main">Save</button>
                </p>
            </form>
        </Dialog>
    );
}

/** News that ask for something: they stay until it is decided. */
function Banners({ s, dispatch }: Props) {
    return (
        <>
            {!s.online && (
                <p class="notice trouble away" role="status">
                    The server does not answer. Your text stays here; start <code>voltsill serve</code> again to save
                    it.
                </p>
            )}
            {s.left && (
                <p class="notice" role="status">
                    This browser kept a text of this file that was never saved.{" "}
                    <button onClick={() => dispatch({ do: "take-left" })}>Take it back</button>{" "}
                    <button onClick={() => dispatch({ do: "drop-left" })}>Drop it</button>
                </p>
            )}
            {s.conflict && s.route.view !== "merge" && (
                <p class="notice" role="status">
                    The file changed on the disk, and here too. <a href="#/merge">Merge them</a>
                </p>
            )}
            {s.gone && (
                <p class="notice" role="status">
                    The file is gone from the disk; saving writes it again.
                </p>
            )}
        </>
    );
}

function Verdict({ s }: { s: State }) {
    if (!s.doc) return null;
    const judged = s.check.value?.accepted ? s.check.value.judgement : null;
    const joined = judged && (judged.links.length > 0 || judged.verdict !== "safe");
    const verdict = joined ? judged.verdict : "unread";
    return (
        <p class={`overall ${verdict} ${current(s, s.check) ? "" : "older"}`} aria-live="polite" role="status">
            {spoken(s)} <PlanWhy s={s} />
        </p>
    );
}

/** Ctrl+S saves everywhere; undo and redo where no field of its own takes them. */
function useKeys(dispatch: Dispatch, save: () => void) {
    useEffect(() => {
        const keys = (e: KeyboardEvent) => {
            if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
            const key = e.key.toLowerCase();
            const in_field = (e.target as Element).closest?.("input, select, textarea, .cm-editor, dialog") !== null;
            if (key === "s") save();
            else if (!in_field && key === "z") dispatch({ do: e.shiftKey ? "redo" : "undo" });
            else if (!in_field && key === "y") dispatch({ do: "redo" });
            else return;
            e.preventDefault();
        };
        addEventListener("keydown", keys);
        return () => removeEventListener("keydown", keys);
    });
}

/** How long good news stay: they lie over the end of the page. */
const good_news_ms = 8000;

export function App({ s, dispatch }: Props) {
    const [naming, set_naming] = useState(false);
    const save = () => {
        if (!s.doc) return;
        if (s.doc.path === null) set_naming(true);
        else if (s.conflict) dispatch({ do: "go", route: { view: "merge" } });
        else dispatch({ do: "save", path: null });
    };
    useKeys(dispatch, save);
    useEffect(() => {
        if (!s.notice || s.notice.bad) return;
        const gone = setTimeout(() => dispatch({ do: "hush" }), good_news_ms);
        return () => clearTimeout(gone);
    }, [s.notice]);
    const main = useViewStart(hash_of(s.route));
    useLayoutEffect(() => {
        document.title = `${main.current?.querySelector("h1")?.textContent ?? "Page"} - Voltsill`;
    }, [hash_of(s.route)]);
    const text = s.doc !== null && ["bench", "link", "wiring", "text"].includes(s.route.view);
    return (
        <>
            <SkipLink to={main} />
            <header class="top">
                <p class="name">
                    <strong>Voltsill</strong>
                    {s.doc && (
                        <>
                            {" "}
                            <span class="mono">{s.doc.path ?? "not saved yet"}</span>
                            {s.doc.path && <span class="soft">{unsaved(s) ? " changed" : " saved"}</span>}
                        </>
                    )}
                </p>
                <Tools s={s} dispatch={dispatch} save={save} />
                <Nav s={s} />
                <Verdict s={s} />
            </header>
            <Banners s={s} dispatch={dispatch} />
            <div class={`leaf ${text && s.text_open ? "with-text" : ""} ${s.route.view === "text" ? "text-only" : ""}`}>
                <main id="view" ref={main} tabIndex={-1}>
                    <View s={s} dispatch={dispatch} />
                </main>
                {text && (
                    <section class="text" aria-label="Text of the bench">
                        <TextPane s={s} dispatch={dispatch} />
                    </section>
                )}
            </div>
            <Foot
                news={s.notice}
                doing={s.editing ? "Writing it into the text" : ""}
                hush={() => dispatch({ do: "hush" })}
            />
            {naming && <SaveAs dispatch={dispatch} close={() => set_naming(false)} />}
        </>
    );
}
