import { useLayoutEffect, useRef } from "preact/hooks";

/** The place of the views. One that takes another's place begins at its head, for the eye and for the keyboard; whoever
 *  writes in the text editor stays there. `there`: the view has come. */
export function useViewStart(view: string, there = true) {
    const main = useRef<HTMLElement>(null);
    const first = useRef(true);
    useLayoutEffect(() => {
        if (!there) return;
        if (!first.current && !document.activeElement?.closest(".cm-editor")) {
            main.current?.focus();
            scrollTo(0, 0);
        }
        first.current = false;
    }, [view, there]);
    return main;
}
