/** The text editor: highlights TOML, underlines mistakes, and tells of every change. Its history is the page's. */
import { closeBrackets, closeBracketsKeymap } from "@codemirror/autocomplete";
import { defaultKeymap } from "@codemirror/commands";
import { HighlightStyle, StreamLanguage, bracketMatching, syntaxHighlighting } from "@codemirror/language";
import { toml } from "@codemirror/legacy-modes/mode/toml";
import { lintGutter, setDiagnostics, type Diagnostic } from "@codemirror/lint";
import { highlightSelectionMatches, searchKeymap } from "@codemirror/search";
import { Annotation, EditorState, type Text } from "@codemirror/state";
import {
    EditorView,
    drawSelection,
    highlightActiveLine,
    highlightActiveLineGutter,
    keymap,
    lineNumbers,
} from "@codemirror/view";
import { tags } from "@lezer/highlight";
import type { Place, Problem } from "../model/answers";
import { difference } from "../model/difference";
import type { Selection } from "../model/history";
import { style_nonce } from "../effects/api";

/** Marks changes that come from the page, not from a hand in the editor. */
const from_page = Annotation.define<boolean>();

const inks = HighlightStyle.define([
    { tag: tags.comment, color: "var(--soft)", fontStyle: "italic" },
    { tag: [tags.propertyName, tags.definition(tags.propertyName)], color: "var(--ink)" },
    { tag: tags.string, color: "var(--link)" },
    { tag: [tags.number, tags.atom, tags.bool], color: "var(--alarm)" },
    { tag: tags.heading, fontWeight: "bold" },
]);

const look = EditorView.theme({
    "&": { height: "100%", backgroundColor: "transparent", color: "var(--ink)", fontSize: "0.875rem" },
    ".cm-scroller": {
        fontFamily: 'ui-monospace, "Cascadia Mono", Consolas, "DejaVu Sans Mono", monospace',
        lineHeight: "1.55",
    },
    ".cm-gutters": { backgroundColor: "transparent", color: "var(--soft)", borderRight: "1px solid var(--hair)" },
    ".cm-activeLine, .cm-activeLineGutter": { backgroundColor: "var(--wash)" },
    ".cm-cursor": { borderLeftColor: "var(--ink)" },
    "&.cm-focused": { outline: "3px solid var(--focus)", outlineOffset: "-3px" },
    "& .cm-selectionBackground, &.cm-focused > .cm-scroller > .cm-selectionLayer .cm-selectionBackground": {
        backgroundColor: "var(--range)",
    },
    ".cm-tooltip, .cm-panels": { backgroundColor: "var(--wash)", color: "var(--ink)", border: "1px solid var(--line)" },
    ".cm-diagnostic-error": { borderLeftColor: "var(--alarm)" },
    ".cm-selectionMatch, .cm-matchingBracket": { backgroundColor: "var(--range) !important" },
});

export interface EditorEvents {
    typed: (text: string, selection: Selection) => void;
    selected: (selection: Selection, line: number) => void;
    undo: () => void;
    redo: () => void;
}

function extensions(events: EditorEvents) {
    const run = (act: () => void) => () => (act(), true);
    return [
        EditorView.cspNonce.of(style_nonce),
        lineNumbers(),
        lintGutter(),
        drawSelection(),
        highlightActiveLine(),
        highlightActiveLineGutter(),
        bracketMatching(),
        closeBrackets(),
        highlightSelectionMatches(),
        StreamLanguage.define(toml),
        syntaxHighlighting(inks),
        look,
        EditorView.lineWrapping,
        EditorState.lineSeparator.of("\n"),
        EditorView.contentAttributes.of({ "aria-label": "Bench file", spellcheck: "false", tabindex: "0" }),
        keymap.of([
            { key: "Mod-z", run: run(events.undo), preventDefault: true },
            { key: "Mod-y", run: run(events.redo), preventDefault: true },
            { key: "Mod-Shift-z", run: run(events.redo), preventDefault: true },
            ...closeBracketsKeymap,
            ...searchKeymap,
            ...defaultKeymap,
        ]),
        EditorView.updateListener.of((update) => {
            if (update.transactions.some((t) => t.annotation(from_page))) return;
            const { anchor, head } = update.state.selection.main;
            if (update.docChanged) events.typed(update.state.doc.toString(), { anchor, head });
            else if (update.selectionSet) events.selected({ anchor, head }, update.state.doc.lineAt(head).number);
        }),
    ];
}

/** Offset of a place; its columns count code points. */
function offset(doc: Text, { line: number, column }: Pick<Place, "line" | "column">): number {
    if (number > doc.lines) return doc.length;
    const line = doc.line(Math.max(1, number));
    const before = [...line.text].slice(0, Math.max(0, column - 1)).join("");
    return line.from + Math.min(before.length, line.length);
}

function diagnostics(doc: Text, problems: Problem[]): Diagnostic[] {
    return problems
        .filter((p) => p.place && p.place.file === p.file)
        .map((p) => {
            const place = p.place!;
            const from = offset(doc, place);
            const to = offset(doc, { ...place, column: place.column + Math.max(1, place.width) });
            const more = [p.expected && `Expected: ${p.expected}`, p.nearest && `Nearest: ${p.nearest}`].filter(
                Boolean,
            );
            return {
                from,
                to: Math.max(from, to),
                severity: p.severity ?? "error",
                message: [p.message, ...more].join("\n"),
            };
        });
}

export class TextEditor {
    private readonly view: EditorView;

    constructor(parent: HTMLElement, text: string, events: EditorEvents) {
        this.view = new EditorView({
            parent,
            state: EditorState.create({ doc: text, extensions: extensions(events) }),
        });
    }
    /** Changes only what differs, so that marks and scrolling stay where they are. */
    show(text: string, selection: Selection) {
        const now = this.view.state.doc.toString();
        if (now === text) return;
        const within = (at: number) => Math.min(at, text.length);
        this.view.dispatch({
            changes: difference(now, text),
            selection: { anchor: within(selection.anchor), head: within(selection.head) },
            annotations: from_page.of(true),
            scrollIntoView: true,
        });
    }
    underline(problems: Problem[]) {
        this.view.dispatch(setDiagnostics(this.view.state, diagnostics(this.view.state.doc, problems)), {
            annotations: from_page.of(true),
        });
    }
    goto(line: number, column: number, focus: boolean) {
        const at = offset(this.view.state.doc, { line, column });
        this.view.dispatch({
            selection: { anchor: at },
            effects: EditorView.scrollIntoView(at, { y: "center" }),
            annotations: from_page.of(true),
        });
        if (focus) this.view.focus();
    }
    destroy() {
        this.view.destroy();
    }
}
