/** Files that the page hands to the browser to save. */
import { text_of } from "../model/state";
import { post_for_file, trouble } from "./api";
import type { Effect, Store } from "./store";

/** The browser takes its time to read what it saves. */
const kept_for = 10000;

function download(content: Blob, name: string) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(content);
    link.download = name;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), kept_for);
}

export function downloading(store: Store): Effect {
    const save_pdf = async (sheet: string) => {
        const { about, doc, sheets } = store.state;
        const name = `${(doc?.path ?? "bench").replace(/^.*\//, "").replace(/\.toml$/, "")}-${sheet}.pdf`;
        try {
            const pdf = await post_for_file("/api/pdf", {
                file: doc?.path ?? "bench.toml",
                text: text_of(store.state),
                for: sheets.audience,
                sheet,
                seats: sheets.seats,
                paper: about?.paper ?? "a4",
            });
            download(pdf, name);
            store.dispatch({ do: "notice", words: `Saved ${name}`, bad: false });
        } catch (error) {
            store.dispatch({ do: "notice", words: trouble(error) ?? "", bad: true });
        }
    };
    return (action) => {
        if (action.do === "save-pdf") void save_pdf(action.sheet);
        if (action.do === "save-readings")
            download(new Blob([action.text], { type: "application/toml" }), "readings.toml");
    };
}
