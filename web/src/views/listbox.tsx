/** A list to choose one of, by mouse, arrows or by typing a few letters above it (ARIA listbox pattern). */
import { useEffect, useRef, useState } from "preact/hooks";
import { useName } from "./ids";

export interface Option {
    value: string;
    words: string;
    more: string;
    group?: string;
}
interface Props {
    label: string;
    options: Option[];
    value: string | null;
    on: (value: string) => void;
    /** The words above the list: kept here, or by the owner who searches elsewhere. */
    words?: string;
    on_words?: (words: string) => void;
    search_label: string;
    focus?: boolean;
    empty: string;
    /** The options are those of earlier words; others are on their way. */
    busy?: boolean;
}

const has = (option: Option, words: string) =>
    words
        .toLowerCase()
        .split(/\s+/)
        .every((w) => `${option.words} ${option.more} ${option.group ?? ""}`.toLowerCase().includes(w));

/** Where a key leads in a list of `count` from `at` (-1: nothing is chosen); null: it does not lead anywhere. */
function led_to(key: string, at: number, count: number): number | null {
    if (key === "Home") return 0;
    if (key === "End") return count - 1;
    const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8 }[key];
    if (step === undefined) return null;
    return at < 0 ? 0 : Math.min(Math.max(at + step, 0), count - 1);
}

export function Listbox(props: Props) {
    const { label, options, value, on, search_label, focus = false } = props;
    const [own, set_own] = useState("");
    const words = props.words ?? own;
    const shown = props.on_words ? options : options.filter((o) => has(o, own));
    const id = useName();
    const list = useRef<HTMLUListElement>(null);
    const at = shown.findIndex((o) => o.value === value);
    const input = useRef<HTMLInputElement>(null);
    useEffect(() => {
        if (focus) input.current?.focus();
    }, []);
    useEffect(() => {
        list.current?.querySelector("[aria-selected=true]")?.scrollIntoView({ block: "nearest" });
    }, [value]);

    const keys = (e: KeyboardEvent) => {
        const in_words = e.target === input.current && (e.key === "Home" || e.key === "End");
        const to = in_words ? null : led_to(e.key, at, shown.length);
        if (to === null) return;
        e.preventDefault();
        const next = shown[to];
        if (next) on(next.value);
    };
    return (
        <div class="listbox" onKeyDown={keys}>
            <div class="field">
                <label for={`${id}-words`}>{search_label}</label>
                <input
                    id={`${id}-words`}
                    ref={input}
                    type="search"
                    autocomplete="off"
                    spellcheck={false}
                    value={words}
                    aria-controls={`${id}-list`}
                    onInput={(e) => (props.on_words ?? set_own)(e.currentTarget.value)}
                />
            </div>
            <ul
                ref={list}
                id={`${id}-list`}
                role="listbox"
                aria-label={label}
                aria-busy={props.busy ?? false}
                tabIndex={0}
                aria-activedescendant={at < 0 ? undefined : `${id}-${at}`}>
                {shown.map((o, i) => [
                    o.group && o.group !== shown[i - 1]?.group && (
                        <li key={`group ${o.group}`} class="group" role="presentation">
                            {o.group}
                        </li>
                    ),
                    <li
                        key={o.value}
                        id={`${id}-${i}`}
                        role="option"
                        aria-selected={o.value === value}
                        onClick={() => on(o.value)}>
                        <span class="strong">{o.words}</span> <span class="soft">{o.more}</span>
                    </li>,
                ])}
                {shown.length === 0 && (
                    <li role="option" aria-selected="false" aria-disabled="true" class="soft">
                        {props.empty}
                    </li>
                )}
            </ul>
        </div>
    );
}
