/** What is put on the wall: the code, the address and both as a square for cameras. */
import type { Room } from "../hall/answers";
import { time_words } from "../hall/words";

export function JoinScreen({ room }: { room: Room }) {
    return (
        <div class="wall">
            <h1>Join: {room.title}</h1>
            {room.code === null ? (
                <p class="large">
                    Joining is closed. <a href="#/class">Open it with a new code</a>
                </p>
            ) : (
                <>
                    <div class="wall-code">
                        <div>
                            <p>
                                {room.here_alone
                                    ? "On this machine alone, open"
                                    : "Point the camera of a phone at the square of dots, or open"}
                            </p>
                            <p class="address mono">{room.address}</p>
                            <p>and enter the code</p>
                            <p class="code mono">{room.code}</p>
                        </div>
                        {!room.here_alone && (
                            <img
                                src={`/api/class/qr?${room.code}`}
                                alt={`Square code of the address ${room.address} with the code ${room.code}`}
                                width="400"
                                height="400"
                            />
                        )}
                    </div>
                    <p>
                        {room.learners.length === 0
                            ? "Nobody has joined yet."
                            : `${room.learners.length} joined: ${room.learners.map((r) => r.nickname).join(", ")}.`}
                        {room.code_until !== null && ` The code holds until ${time_words(room.code_until)}.`}
                    </p>
                </>
            )}
        </div>
    );
}
