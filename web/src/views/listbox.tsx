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
        const step = { ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8 }[e.key];
        const to =
            e.key === "Home"
                ? 0
                : e.key === "End"
                  ? shown.length - 1
                  : step === undefined
                    ? null
                    : at < 0
                      ? 0
                      : at + step;
        if (to === null || (e.target === input.current && (e.key === "Home" || e.key === "End"))) return;
        e.preventDefault();
        const next = shown[Math.min(Math.max(to, 0), shown.length - 1)];
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
