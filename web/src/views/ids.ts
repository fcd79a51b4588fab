import { useRef } from "preact/hooks";

let given = 0;

/** A name for an element that nothing else in the page has; those of the library repeat themselves in dialogs. */
export function useName(): string {
    const name = useRef("");
    name.current ||= `named-${++given}`;
    return name.current;
}
