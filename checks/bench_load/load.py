"""Two hundred clients ask a running bench for gaps, one after the other on a connection of their own.

usage: load.py PORT PID [SECONDS] [CLIENTS]

Prints answers, errors, the latency by share of answers, and the memory of the process before and after. Ends with status 1
when an answer is not 200, when the 99th percentile is above 250 ms or when memory grew by more than a tenth.
"""

import asyncio
import json
import random
import sys
import time


def resident_kib(pid: int) -> int:
    with open(f"/proc/{pid}/status", encoding="ascii") as status:
        return next(int(line.split()[1]) for line in status if line.startswith("VmRSS"))


async def client(port: int, seed: int, until: float, taken: list[float], wrong: list[str]) -> None:
    chance = random.Random(seed)
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    while time.monotonic() < until:
        asked = {
            "build": chance.randint(1, 4),
            "crank_deg": round(chance.uniform(0, 720), 2),
            "intake_advance_deg": round(chance.uniform(-10, 10), 2),
            "head_shift_mm": [round(chance.uniform(-0.5, 0.5), 3), 0.0],
        }
        body = json.dumps(asked).encode()
        head = (
            f"POST /api/gap HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\n"
            f"Content-Length: {len(body)}\r\n\r\n"
        )
        begun = time.monotonic()
        writer.write(head.encode() + body)
        answer = (await reader.readuntil(b"\r\n\r\n")).decode().lower()
        length = int(answer.split("content-length: ")[1].split("\r\n")[0])
        content = await reader.readexactly(length)
        taken.append(time.monotonic() - begun)
        if " 200 " not in answer.split("\r\n")[0]:
            wrong.append(content.decode())
    writer.close()


async def main() -> int:
    port, pid = int(sys.argv[1]), int(sys.argv[2])
    seconds = float(sys.argv[3]) if len(sys.argv) > 3 else 60.0
    n_clients = int(sys.argv[4]) if len(sys.argv) > 4 else 200
    taken: list[float] = []
    wrong: list[str] = []

    async def run(length: float) -> None:
        until = time.monotonic() + length
        await asyncio.gather(*(client(port, seed, until, taken, wrong) for seed in range(n_clients)))

    await run(min(5.0, seconds))  # warm: builds are read, threads and connections have their memory
    before = resident_kib(pid)
    taken.clear()
    await run(seconds)
    after = resident_kib(pid)
    taken.sort()
    at = [1e3 * taken[min(len(taken) - 1, int(share * len(taken)))] for share in (0.5, 0.95, 0.99, 1.0)]
    print(f"{len(taken)} answers in {seconds:.0f} s from {n_clients} clients, {len(wrong)} wrong {wrong[:1]}")
    print(f"p50 {at[0]:.1f} ms, p95 {at[1]:.1f} ms, p99 {at[2]:.1f} ms, most {at[3]:.1f} ms")
    print(f"resident {before} KiB before, {after} KiB after")
    return int(bool(wrong) or at[2] > 250.0 or after > 1.1 * before)


sys.exit(asyncio.run(main()))
