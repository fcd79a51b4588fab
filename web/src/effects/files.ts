/** Opening, saving and watching the file, and keeping what is not saved yet. */
import type { Source } from "../model/actions";
import type { BenchFile, FileRow } from "../model/answers";
import { text_of, unsaved, type State } from "../model/state";
import { get, put, Refused, trouble } from "./api";
import { keep, kept, tab } from "./kept";
import { later, type Effect, type Store } from "./store";

const empty_bench = 'title = "New bench"\n\n[rails]\n\n[parts]\n';
const file_url = (path: string) => `/api/file?path=${encodeURIComponent(path)}`;

const kept_key = (s: State, path: string | null) => `voltsill unsaved ${s.about?.folder ?? ""} ${path ?? ""}`;
const last_path = "voltsill path";
/** A text of this file, or of none, that was never saved. */
const unsaved_text = (s: State, path: string | null): string | null => kept(kept_key(s, path));

async function fetched(source: Source): Promise<{ file: BenchFile; path: string | null }> {
    if ("path" in source) return { file: await get<BenchFile>(file_url(source.path)), path: source.path };
    if ("example" in source)
        return { file: await get<BenchFile>(`/api/example?name=${encodeURIComponent(source.example)}`), path: null };
    return { file: { path: null, text: "kept" in source ? source.kept : empty_bench, version: "" }, path: null };
}

export function opening(store: Store): Effect {
    const tell = (error: unknown) => store.dispatch({ do: "notice", words: trouble(error) ?? "", bad: true });
    const load = async (source: Source) => {
        try {
            const { file, path } = await fetched(source);
            const left = path === null ? null : unsaved_text(store.state, path);
            store.dispatch({ do: "open", file, path, left });
            keep(last_path, path, tab);
            if (store.state.route.view === "start") store.dispatch({ do: "go", route: { view: "bench" } });
        } catch (error) {
            tell(error);
        }
    };
    const list = async () => {
        const { files } = await get<{ files: FileRow[] }>("/api/files");
        store.dispatch({ do: "files", files });
    };
    return (action, before, after) => {
        if (action.do === "load") void load(action.from);
        if (action.do === "about") {
            const path = kept(last_path, tab) ?? action.about.open;
            if (path) void load({ path });
            const text = unsaved_text(after, null);
            if (text !== null) store.dispatch({ do: "kept", text });
        }
        const shown = after.route.view === "start" && after.about !== null;
        if (shown && (before.route.view !== "start" || action.do === "about")) void list().catch(tell);
    };
}

export function saving(store: Store): Effect {
    const save = async (path: string, text: string, base: string | null) => {
        try {
            const { version } = await put<{ version: string }>(file_url(path), { text, base });
            store.dispatch({ do: "saved", path, text, version });
            keep(last_path, path, tab);
        } catch (error) {
            if (!(error instanceof Refused && error.status === 409))
                return store.dispatch({ do: "save-failed", words: trouble(error) ?? "" });
            const theirs = error.body as BenchFile;
            if (store.state.doc?.path !== path)
                return store.dispatch({ do: "save-failed", words: `${path} is there already: choose another name` });
            store.dispatch({ do: "conflict", theirs });
            store.dispatch({ do: "go", route: { view: "merge" } });
        }
    };
    return (action, before, after) => {
        if (action.do !== "save" || !after.doc || before.doc?.saving) return;
        const path = action.path ?? after.doc.path;
        const base = path === after.doc.path ? (after.doc.base?.version ?? null) : null;
        if (path) void save(path, text_of(after), base);
    };
}

/** Listens for changes of the file by other hands. News that arrive while one's own save is under way wait for it. */
export function watching(store: Store): Effect {
    let source: EventSource | null = null;
    let waiting = false;
    const read = async () => {
        const doc = store.state.doc;
        if (!doc?.path) return;
        waiting = doc.saving;
        if (waiting) return;
        const file = await get<BenchFile>(file_url(doc.path)).catch(() => null);
        if (file && store.state.doc?.path === doc.path) store.dispatch({ do: "disk", file });
    };
    const watch = (path: string) => {
        source = new EventSource(`/api/events?file=${encodeURIComponent(path)}`);
        source.addEventListener("changed", () => void read());
        source.addEventListener("gone", () => store.dispatch({ do: "gone" }));
        source.onopen = () => store.dispatch({ do: "online", online: true });
        source.onerror = () => store.dispatch({ do: "online", online: false });
    };
    return (action, before, after) => {
        const path = after.doc?.path ?? null;
        if (path !== (before.doc?.path ?? null)) {
            source?.close();
            source = null;
            if (path) watch(path);
        }
        if (waiting && (action.do === "saved" || action.do === "save-failed" || action.do === "conflict")) void read();
    };
}

/** A text that is not saved is kept in this browser, so that a crash does not take it. */
export function keeping(store: Store): Effect {
    const pause = later(300);
    const keep_text = () => {
        const s = store.state;
        if (!s.doc) return;
        keep(kept_key(s, s.doc.path), unsaved(s) ? text_of(s) : null);
    };
    addEventListener("pagehide", () => {
        if (!store.state.left) keep_text();
    });
    return (action, before, after) => {
        const touched = text_of(before) !== text_of(after) || action.do === "saved" || action.do === "drop-left";
        if (touched && action.do !== "open") pause.start(keep_text);
        if (action.do === "saved" && before.doc?.path === null) keep(kept_key(after, null), null);
    };
}
