/** The sheets of a bench: for whom, how they will look, on paper or as PDF. */
import { useEffect, useRef, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { current, type State } from "../model/state";
import { style_nonce } from "../effects/api";
import { waiting_style } from "./drawing";
import { Choose, Field, Progress } from "./pieces";

const audiences = [
    { value: "build", words: "who builds it" },
    { value: "test", words: "who tests it" },
    { value: "learner", words: "learners" },
    { value: "instructor", words: "instructors" },
    { value: "all", words: "everybody" },
    { value: "faults", words: "who looks for a fault" },
    { value: "fault-causes", words: "who helps to find a fault" },
    { value: "planted", words: "a class with planted faults" },
];

/** A page of its own, made fit for the policy this page lays on frames: no scripts, styles under the nonce. */
function framed(html: string): string {
    const named = html
        .replaceAll(' style="', ` ${waiting_style}="`)
        .replaceAll("<style>", `<style nonce="${style_nonce}">`);
    const page = new DOMParser().parseFromString(named, "text/html");
    page.querySelectorAll("script").forEach((e) => e.remove());
    const rules = new Map<string, string>();
    page.querySelectorAll(`[${waiting_style}]`).forEach((e) => {
        const rule = e.getAttribute(waiting_style)!;
        if (!rules.has(rule)) rules.set(rule, `own-${rules.size}`);
        e.classList.add(rules.get(rule)!);
        e.removeAttribute(waiting_style);
    });
    const own = page.createElement("style");
    own.setAttribute("nonce", style_nonce);
    own.textContent = [...rules].map(([rule, name]) => `.${name}{${rule}}`).join("\n");
    page.head.append(own);
    return `<!doctype html>${page.documentElement.outerHTML}`;
}

function Preview({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const [at, set_at] = useState(0);
    const frame = useRef<HTMLIFrameElement>(null);
    const documents = s.sheets.value?.accepted ? s.sheets.value.documents : [];
    const shown = documents[Math.min(at, documents.length - 1)];
    useEffect(() => {
        if (frame.current && shown) frame.current.srcdoc = framed(shown.html);
    }, [shown]);
    if (!shown) return null;
    return (
        <section aria-labelledby="preview" class={current(s, s.sheets) ? "" : "older"}>
            <h2 id="preview">{shown.title}</h2>
            {documents.length > 1 && (
                <ul class="tabs">
                    {documents.map((d, i) => (
                        <li key={d.name}>
                            <button aria-pressed={d === shown} onClick={() => set_at(i)}>
                                {d.title}
                            </button>
                        </li>
                    ))}
                </ul>
            )}
            <p class="actions">
                <button onClick={() => frame.current?.contentWindow?.print()}>Print</button>{" "}
                <button onClick={() => dispatch({ do: "save-pdf", sheet: shown.name })}>Save as PDF</button>
            </p>
            <iframe
                ref={frame}
                class="sheet"
                title={`Preview: ${shown.title}`}
                sandbox="allow-same-origin allow-modals"
            />
        </section>
    );
}

export function SheetsView({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const { audience, seats } = s.sheets;
    const [wanted, set_wanted] = useState(String(seats));
    const make = (whom: string, n: string) =>
        dispatch({ do: "sheets", audience: whom, seats: Math.min(Math.max(Number.parseInt(n, 10) || 1, 1), 1000) });
    return (
        <>
            <h1>Sheets</h1>
            <form
                class="fields"
                onSubmit={(e) => {
                    e.preventDefault();
                    make(audience, wanted);
                }}>
                <Choose label="For" value={audience} options={audiences} on={(whom) => make(whom, wanted)} />
                <Field
                    label="Seats"
                    value={wanted}
                    on={set_wanted}
                    required
                    hint="For how many the parts list and labels count"
                />
                <p class="actions">
                    <button class="main">Make the sheets</button>
                </p>
            </form>
            <Progress of={s.sheets} doing="Writing the sheets" />
            <Preview s={s} dispatch={dispatch} />
        </>
    );
}
