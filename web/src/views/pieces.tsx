/** Small things that many views show. */
import type { ComponentChildren, RefObject } from "preact";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { useName } from "./ids";
import type { Problem, Quantity, Verdict } from "../model/answers";
import type { Computed } from "../model/state";
import type { Said } from "../model/forms";
import { quantity, signs, volts_share } from "../model/words";

export function Mark({ verdict, words = verdict }: { verdict: Verdict; words?: string }) {
    return (
        <span class={`verdict ${verdict}`}>
            <span class="sign" aria-hidden="true">
                {signs[verdict]}
            </span>{" "}
            {words}
        </span>
    );
}

/** What could not be read, what would be, and what was most likely meant. */
export function ProblemWords({ of }: { of: Pick<Problem, "message" | "expected" | "nearest"> }) {
    return (
        <>
            {of.message}
            {of.expected && <span class="soft"> Expected: {of.expected}.</span>}
            {of.nearest && (
                <span>
                    {" "}
                    Did you mean <code>{of.nearest}</code>?
                </span>
            )}
        </>
    );
}

/** The first thing a keyboard comes to: past what every view has on top. */
export function SkipLink({ to }: { to: RefObject<HTMLElement | null> }) {
    const skip = (e: Event) => {
        e.preventDefault();
        to.current?.focus();
    };
    return (
        <a class="skip" href="#view" onClick={skip}>
            To the content
        </a>
    );
}

interface FootProps {
    news: { words: string; bad: boolean } | null;
    /** What is being done while there is no news; "": nothing. */
    doing?: string;
    hush: () => void;
}
/** What was done or went wrong last, until it is closed. */
export function Foot({ news, doing = "", hush }: FootProps) {
    return (
        <p class={`foot ${news?.bad ? "trouble" : ""}`} role="status" hidden={!news && !doing}>
            {news?.words ?? doing}
            {news && (
                <button class="quiet" onClick={hush}>
                    Close<span class="unseen"> this message</span>
                </button>
            )}
        </p>
    );
}

/** A stroke in the hue of a voltage, pale when low and dark when high. */
export function Stroke({ volts }: { volts: number | null | undefined }) {
    const line = useRef<HTMLSpanElement>(null);
    useLayoutEffect(() => {
        line.current?.style.setProperty("--stroke-volts", String(volts_share(volts ?? 0)));
    }, [volts]);
    return <span class="volts-stroke" ref={line} aria-hidden="true" />;
}

export const Amount = ({ of }: { of: Quantity | null | undefined }) => <span class="whole">{quantity(of)}</span>;

interface FieldProps {
    label: string;
    value: string;
    on: (value: string) => void;
    hint?: string;
    required?: boolean;
    list?: string[];
    mono?: boolean;
    focus?: boolean;
    /** Why the value could not be read. */
    said?: Said[];
}
export function Field(props: FieldProps) {
    const { label, value, on, hint, required = false, list, mono = false, focus = false, said = [] } = props;
    const id = useName();
    const input = useRef<HTMLInputElement>(null);
    const wrong = said.map((one) => one.problem.message).join(" ");
    useEffect(() => {
        if (focus) input.current?.focus();
    }, []);
    useEffect(() => {
        if (wrong) input.current?.focus();
    }, [wrong]);
    const described = [wrong && `${id}-wrong`, hint && `${id}-hint`].filter(Boolean).join(" ");
    return (
        <div class="field">
            <label for={id}>
                {label}
                {required ? "" : <span class="soft"> (optional)</span>}
            </label>
            <input
                id={id}
                ref={input}
                class={mono ? "mono" : ""}
                value={value}
                required={required}
                autocomplete="off"
                spellcheck={false}
                list={list && `${id}-list`}
                aria-describedby={described || undefined}
                aria-invalid={wrong ? true : undefined}
                onInput={(e) => on(e.currentTarget.value)}
            />
            {list && (
                <datalist id={`${id}-list`}>
                    {list.map((v) => (
                        <option key={v} value={v} />
                    ))}
                </datalist>
            )}
            {wrong && (
                <p class="trouble" id={`${id}-wrong`} role="alert">
                    {said.map((one, i) => (
                        <ProblemWords key={i} of={one.problem} />
                    ))}
                </p>
            )}
            {hint && (
                <p class="hint" id={`${id}-hint`}>
                    {hint}
                </p>
            )}
        </div>
    );
}

interface ChoiceProps {
    label: string;
    value: string;
    on: (value: string) => void;
    options: { value: string; words: string }[];
}
export function Choose({ label, value, on, options }: ChoiceProps) {
    const id = useName();
    return (
        <div class="field">
            <label for={id}>{label}</label>
            <select id={id} value={value} onChange={(e) => on(e.currentTarget.value)}>
                {options.map((o) => (
                    <option key={o.value} value={o.value}>
                        {o.words}
                    </option>
                ))}
            </select>
        </div>
    );
}

interface DialogProps {
    title: string;
    close: () => void;
    children: ComponentChildren;
    wide?: boolean;
}
/** A modal <dialog>; where the focus was, it returns to. */
export function Dialog({ title, close, children, wide = false }: DialogProps) {
    const box = useRef<HTMLDialogElement>(null);
    const id = useName();
    useLayoutEffect(() => {
        const before = document.activeElement;
        const shown = box.current;
        shown?.showModal();
        return () => {
            shown?.close(); // while it is open nothing outside can have the focus
            if (before instanceof HTMLElement && before.isConnected) before.focus();
        };
    }, []);
    return (
        <dialog ref={box} class={wide ? "wide" : ""} aria-labelledby={id} onClose={close}>
            <header class="dialog-head">
                <h2 id={id}>{title}</h2>
                <button type="button" class="quiet" onClick={() => box.current?.close()}>
                    Close
                </button>
            </header>
            {children}
        </dialog>
    );
}

/** How far a computation is, or why it gave nothing. The words come last: as they change, Cancel stays where it is. */
export function Progress({ of, doing, cancel }: { of: Computed<unknown>; doing: string; cancel?: () => void }) {
    if (of.trouble)
        return (
            <p class="trouble" role="status">
                {of.trouble}
            </p>
        );
    if (!of.running) return null;
    return (
        <p class="progress" role="status">
            <progress max={1} value={of.share || undefined} aria-label={doing} />{" "}
            {cancel && (
                <button type="button" onClick={cancel}>
                    Cancel
                </button>
            )}{" "}
            <span>{of.what || doing}</span>
        </p>
    );
}

/** A table that may be wider than its place scrolls in it, by keyboard too. */
export function Scroll({ children, label }: { children: ComponentChildren; label: string }) {
    return (
        <div class="scroll" role="region" aria-label={label} tabIndex={0}>
            {children}
        </div>
    );
}
