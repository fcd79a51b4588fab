/** The text beside the views, in step with them both ways. */
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { rows } from "../model/bench_rows";
import { typing } from "../model/history";
import { link_at } from "../model/outline";
import { text_of, type State } from "../model/state";
import { TextEditor } from "./editor";

/** Keys of an editor stay in it: a reader who moves by keyboard leaves it with Tab. */
export function TextPane({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const place = useRef<HTMLDivElement>(null);
    const editor = useRef<TextEditor | null>(null);
    const now = useRef(s);
    now.current = s;
    useLayoutEffect(() => {
        editor.current = new TextEditor(place.current!, text_of(now.current), {
            typed: (text, selection) => dispatch({ do: "text", text, selection, word: typing, at: performance.now() }),
            selected: (selection, line) => {
                dispatch({ do: "select", selection });
                const { route } = now.current;
                const link = route.view === "link" ? link_at(text_of(now.current), line) : null;
                if (link !== null && route.view === "link" && link !== route.link)
                    dispatch({ do: "go", route: { view: "link", link } });
            },
            undo: () => dispatch({ do: "undo" }),
            redo: () => dispatch({ do: "redo" }),
        });
        return () => editor.current?.destroy();
    }, []);
    useLayoutEffect(() => editor.current?.show(text_of(s), s.history.present.selection), [s.history.present.text]);
    useEffect(() => {
        if (s.check.of === text_of(s)) editor.current?.underline(s.check.value?.problems ?? []);
    }, [s.check.value]);
    useEffect(() => {
        if (s.goto) editor.current?.goto(s.goto.line, s.goto.column, true);
    }, [s.goto]);
    const link = s.route.view === "link" ? s.route.link : null;
    useEffect(() => {
        const line = link === null ? 0 : (rows(now.current).links.find((l) => l.name === link)?.line ?? 0);
        if (line > 0 && link_at(text_of(now.current), cursor_line(now.current)) !== link)
            editor.current?.goto(line, 1, false);
    }, [link]);
    return <div class="editor" ref={place} />;
}

const cursor_line = (s: State): number => text_of(s).slice(0, s.history.present.selection.head).split("\n").length;
