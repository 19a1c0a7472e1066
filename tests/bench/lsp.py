#!/usr/bin/env python3
"""Milliseconds that an editor waits for `kneemark lsp`: lsp.py PROGRAM RECORD. It opens the record, changes its last
digit a hundred times and asks for a hover and a completion each time; prints median and worst of each."""
import json, pathlib, re, statistics, subprocess, sys, time

program, record = sys.argv[1], pathlib.Path(sys.argv[2]).resolve()
server = subprocess.Popen([program, "lsp"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)


def send(**message):
    body = json.dumps({"jsonrpc": "2.0", **message}).encode()
    server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
    server.stdin.flush()


def wait(wanted):
    while True:
        length = 0
        while (line := server.stdout.readline().strip()):
            length = int(line.split(b":")[1])
        message = json.loads(server.stdout.read(length))
        if wanted(message):
            return message


def published(version):
    said = wait(lambda one: one.get("params", {}).get("version") == version)
    assert said["params"]["uri"] == uri
    return said


uri, text = record.as_uri(), record.read_text()
send(id=0, method="initialize", params={"capabilities": {}})
wait(lambda one: one.get("id") == 0)
send(method="initialized", params={})
begun = time.perf_counter()
send(method="textDocument/didOpen", params={"textDocument": {"uri": uri, "languageId": "kneemark", "version": 1, "text": text}})
published(1)
print(f"opened: {1e3 * (time.perf_counter() - begun):.1f} ms; {text.count(chr(10) + '[')} sections, {len(text)} bytes")
at = [found.start() for found in re.finditer(r"\d\n", text)][-1]
line, column = text[:at].count("\n"), at - text.rfind("\n", 0, at) - 1
spans = {"edit": [], "hover": [], "completion": []}
for version in range(2, 102):
    place = {"line": line, "character": column}
    change = {"range": {"start": place, "end": {"line": line, "character": column + 1}}, "text": str(version % 10)}
    begun = time.perf_counter()
    send(method="textDocument/didChange", params={"textDocument": {"uri": uri, "version": version}, "contentChanges": [change]})
    published(version)
    spans["edit"].append(time.perf_counter() - begun)
    for what in ("hover", "completion"):
        begun = time.perf_counter()
        send(id=version, method=f"textDocument/{what}", params={"textDocument": {"uri": uri}, "position": place})
        wait(lambda one: one.get("id") == version)
        spans[what].append(time.perf_counter() - begun)
for what, all in spans.items():
    print(f"{what}: median {1e3 * statistics.median(all):.1f} ms, worst {1e3 * max(all):.1f} ms")
send(id=1, method="shutdown", params=None)
wait(lambda one: one.get("id") == 1)
send(method="exit", params=None)
sys.exit(server.wait())
