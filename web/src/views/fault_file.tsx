/** The readings as the command line takes them. */
import { useEffect, useState } from "preact/hooks";
import type { Dispatch } from "../model/actions";
import { entries } from "../model/fault";
import type { State } from "../model/state";
import { count } from "../model/words";
import { useName } from "./ids";

interface Props {
    s: State;
    dispatch: Dispatch;
}

/** The readings as the command line takes them: to save, to bring back, to write by hand. */
export function ReadingsFile({ s, dispatch }: Props) {
    const [text, set] = useState("");
    const id = useName();
    useEffect(() => set(s.known?.readings_file ?? ""), [s.known?.readings_file]);
    const take = (words: string) =>
        dispatch({ do: "readings", change: { kind: "take", readings: { ...s.readings, text: words, lines: [] } } });
    return (
        <details>
            <summary>Readings as a file</summary>
            <p>
                This is what <code>voltsill diagnose</code> reads; errors of your meter and weights of faults may be
                written into it.
            </p>
            <div class="field">
                <label for={id}>readings.toml</label>
                <textarea
                    id={id}
                    class="mono"
                    rows={Math.min(Math.max(text.split("\n").length, 6), 24)}
                    spellcheck={false}
                    value={text}
                    onInput={(e) => set(e.currentTarget.value)}
                />
            </div>
            <p class="actions">
                <button onClick={() => take(text)}>Take these readings</button>
                <button disabled={!text} onClick={() => dispatch({ do: "save-readings", text })}>
                    Save as readings.toml
                </button>
                <label class="file">
                    Open a file{" "}
                    <input
                        type="file"
                        accept=".toml,text/plain"
                        onChange={(e) => {
                            void e.currentTarget.files?.[0]?.text().then((words) => {
                                set(words);
                                take(words);
                            });
                        }}
                    />
                </label>
                {s.readings.lines.length + s.readings.text.length > 0 && (
                    <button onClick={() => take("")}>Remove all readings</button>
                )}
            </p>
            <p class="hint">{count(entries(s).length, "reading")} in all.</p>
        </details>
    );
}
