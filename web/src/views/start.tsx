/** Where a bench begins: with an example, a file of the folder, or nothing. */
import type { Dispatch } from "../model/actions";
import type { State } from "../model/state";

export function StartView({ s, dispatch }: { s: State; dispatch: Dispatch }) {
    const load = (from: Parameters<typeof dispatch>[0] & { do: "load" }) => () => dispatch(from);
    return (
        <>
            <h1>What may be joined to what?</h1>
            <p>
                Write down the supplies, the parts and the signals you intend. You see what may be joined, what needs an
                interface circuit, how to wire it, and what every point will read. Extra-low voltage only.
            </p>
            {s.kept !== null && (
                <p class="notice">
                    A bench you had not saved is still here.{" "}
                    <button onClick={load({ do: "load", from: { kept: s.kept } })}>Go on with it</button>
                </p>
            )}
            <section aria-labelledby="new">
                <h2 id="new">From nothing</h2>
                <p class="actions">
                    <button class="main" onClick={load({ do: "load", from: { empty: true } })}>
                        An empty bench
                    </button>
                </p>
            </section>
            <section aria-labelledby="files">
                <h2 id="files">Benches in this folder</h2>
                <p class="soft mono">{s.about?.folder}</p>
                {s.files.length === 0 && <p class="hint">None yet: a bench you save appears here.</p>}
                <ul class="ruled">
                    {s.files.map((f) => (
                        <li key={f.path} class="wrap">
                            <div class="grow">
                                <strong>{f.title || f.path}</strong> <span class="soft mono">{f.path}</span>
                            </div>
                            <button onClick={load({ do: "load", from: { path: f.path } })}>
                                Open<span class="unseen"> {f.path}</span>
                            </button>
                        </li>
                    ))}
                </ul>
            </section>
            <section aria-labelledby="examples">
                <h2 id="examples">Examples</h2>
                <ul class="ruled">
                    {(s.about?.examples ?? []).map((e) => (
                        <li key={e.name} class="wrap">
                            <div class="grow">
                                <strong>{e.title}</strong>
                                <p class="soft">{e.about}</p>
                            </div>
                            <button onClick={load({ do: "load", from: { example: e.name } })}>
                                Start from it<span class="unseen">: {e.title}</span>
                            </button>
                        </li>
                    ))}
                </ul>
            </section>
        </>
    );
}
