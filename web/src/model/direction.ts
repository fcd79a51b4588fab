/** Which of two pins drives the other: a link names the driver first. */

const never_drives = new Set(["input", "analog input", "load"]);
const never_reads = new Set(["push-pull", "three-state", "open-drain", "open-source", "analog output"]);

/** Whether the pins can be joined only the other way round. Pins of one kind stay as they were chosen: what speaks
 *  against them is for the reader of the bench to say, and a bus has no direction. */
export function is_turned(from: string | undefined, to: string | undefined, kind: string): boolean {
    if (!from || !to || kind === "open-drain" || kind === "two-way") return false;
    const good = (driver: string, receiver: string) => !never_drives.has(driver) && !never_reads.has(receiver);
    return !good(from, to) && good(to, from);
}
