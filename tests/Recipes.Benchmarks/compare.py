"""Measures whole processes against general-purpose tools and writes docs/performance.md.

Needs Debian's libvips-tools, python3-numpy, python3-scipy and python3-pil. Publishes the program first. Results are checked equal before anything is
timed; runs are interleaved, so that a busy machine is unfair to all alike; figures are medians.

usage: compare.py [--runs N] [--work DIR] [--megapixels 20,80] [--no-write]
"""
import argparse
import datetime
import json
import os
import pathlib
import platform
import shutil
import statistics
import subprocess
import sys
import tempfile
import threading
import time

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
PYTHON = "/usr/bin/python3"


def main():
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    options.add_argument("--runs", type=int, default=7)
    options.add_argument("--work")
    options.add_argument("--megapixels", default="20,80")
    options.add_argument("--no-write", action="store_true")
    options = options.parse_args()
    folder = pathlib.Path(options.work or tempfile.mkdtemp(prefix="recipes-speed-"))
    folder.mkdir(parents=True, exist_ok=True)
    bench = Bench(folder, options.runs)
    sections = [bench.large(int(size)) for size in options.megapixels.split(",")]
    sections += [bench.phases(), bench.small(), bench.work_file(), bench.many()]
    text = page(sections, options.runs)
    print(text)
    if not options.no_write:
        (ROOT / "docs" / "performance.md").write_text(text)
    if not options.work:
        shutil.rmtree(folder)


class Bench:
    def __init__(self, folder, runs):
        self.folder, self.runs = folder, runs
        self.home = folder / "home"
        self.home.mkdir(exist_ok=True)
        published = folder / "published"
        subprocess.run(["dotnet", "publish", str(ROOT / "src/Recipes.Cli"), "-c", "Release", "-o", str(published), "-v:q", "--nologo"], check=True, stdout=sys.stderr)
        self.recipes = str(published / "recipes")
        self.run([self.recipes, "demo", "--quiet"])
        self.puffin = str(folder / "recipes-demo" / "puffin.png")

    def arts(self, megapixels):
        scale = (megapixels / 20) ** 0.5
        width, height = round(4200 * scale), round(4800 * scale)
        flat, photograph = str(self.folder / f"flat{megapixels}.png"), str(self.folder / f"photograph{megapixels}.png")
        if not os.path.exists(photograph):
            self.run([PYTHON, str(HERE / "arts.py"), self.puffin, str(width), str(height), flat, photograph])
        return {"flat": flat, "photographic": photograph}, width * height

    def large(self, megapixels):
        arts, pixels = self.arts(megapixels)
        rows = []
        for kind, art in arts.items():
            stem = pathlib.Path(art).stem
            out = self.folder / f"out{megapixels}"
            ours = [self.recipes, "run", "printable-whites", art, "-o", str(out), "--setup", "light-garment", "--force"]
            script = [PYTHON, str(HERE / "whites.py"), art, str(self.folder / "script.png")]
            self.run(ours)
            self.run(script)
            self.check_equal(out / f"{stem}.png", self.folder / "script.png")
            size = (out / f"{stem}.png").stat().st_size / (self.folder / "script.png").stat().st_size
            commands = {
                "copy by libvips": ["vips", "pngsave", art, str(self.folder / "copy.png"), "--compression", "3"],
                "numpy script": script,
                "run printable-whites": ours,
                "dry-run printable-whites": [self.recipes, "dry-run", "printable-whites", art, "--setup", "light-garment", "--out", str(self.folder / "try"), "--force"],
                "check": [self.recipes, "check", art, "--setup", "light-garment"],
            }
            figures = self.interleave(commands)
            kept = self.commits(art)
            base = figures["copy by libvips"]["seconds"]
            for name, figure in {**figures, "commit --dry-run": kept}.items():
                rows.append([kind, name, f"{figure['seconds']:.2f}", f"{figure['seconds'] / base:.2f}", f"{figure['processor']:.2f}",
                             f"{figure['memory'] / (pixels * 4):.1f}", f"{size:.3f}" if name == "run printable-whites" else ""])
        return (f"{megapixels} megapixels", ["art", "command", "seconds", "x copy", "processor seconds", "peak memory, x raw RGBA", "output, x the script's"], rows)

    # What --timings says, beside the floor: a host that does nothing, and the copy.
    def phases(self):
        arts, _ = self.arts(20)
        rows, names = [], []
        for kind, art in arts.items():
            for title, command in {
                "run": ["run", "printable-whites", art, "-o", str(self.folder / "out20"), "--setup", "light-garment", "--force"],
                "dry-run": ["dry-run", "printable-whites", art, "--setup", "light-garment", "--out", str(self.folder / "try"), "--force"],
            }.items():
                runs = [json.loads(self.run([self.recipes, *command, "--json", "--timings"]).stdout)["milliseconds"] for _ in range(self.runs + 1)][1:]
                phases = {name: statistics.median(run[name] for run in runs) for name in runs[0]}
                names += [name for name in phases if name not in names]
                rows.append((f"{title}, {kind}", phases))
        floor = median([self.measure([self.recipes, "--version"]) for _ in range(self.runs)])["seconds"] * 1000
        return ("Where the time goes, 20 megapixels", ["milliseconds", *names],
                [[title, *(f"{phases[name]:.0f}" if name in phases else "" for name in names)] for title, phases in rows]
                + [[f"starting the host and ending it: {floor:.0f}", *("" for _ in names)]])

    # A dry run each time, and what is measured is keeping it.
    def commits(self, art):
        figures = []
        for _ in range(1 + max(3, self.runs // 2)):
            pathlib.Path(art + ".work").unlink(missing_ok=True)
            self.run([self.recipes, "dry-run", "printable-whites", art, "--setup", "light-garment", "--out", str(self.folder / "try"), "--force"])
            figures.append(self.measure([self.recipes, "commit", "--dry-run", str(self.folder / "try")], memory=len(figures) == 0))
        pathlib.Path(art + ".work").unlink(missing_ok=True)
        return median(figures[1:]) | {"memory": figures[0]["memory"]}

    def small(self):
        small = self.folder / "small.png"
        self.run([PYTHON, "-c", f"from PIL import Image; Image.open({self.puffin!r}).convert('RGB').resize((500, 400)).save({str(small)!r}, dpi=(300, 300))"])
        self.run([self.recipes, "commit", "printable-whites", str(small), "--setup", "light-garment"])
        commands = {
            "--help": [self.recipes, "--help"],
            "list": [self.recipes, "list"],
            "history": [self.recipes, "history", str(small)],
            "check": [self.recipes, "check", str(small), "--setup", "light-garment", "--original"],
            "run printable-whites": [self.recipes, "run", "printable-whites", str(small), "-o", str(self.folder / "smallout"), "--setup", "light-garment", "--force"],
        }
        figures = self.interleave(commands, 3 * self.runs)
        fresh = []
        for number in range(self.runs):
            recipe = self.folder / f"fresh{number}.csx"
            recipe.write_text(f'Recipe.Title("Fresh");\nArt.MakePrintable(Art.Find.PureWhite().Enclosed(), layer: "{time.time_ns()}");\n')
            fresh.append(self.measure([self.recipes, "show", str(recipe)]))
        figures["show, first compile of a recipe"] = median(fresh)
        figures["show, compiled before"] = median([self.measure([self.recipes, "show", str(recipe)]) for _ in range(self.runs)])
        return ("A small file, 500 x 400 px", ["command", "milliseconds", "processor milliseconds"],
                [[name, f"{figure['seconds'] * 1000:.0f}", f"{figure['processor'] * 1000:.0f}"] for name, figure in figures.items()])

    # Twenty local edits on 20 megapixels: what they add to the work file, and how long undo and redo take.
    def work_file(self):
        arts, _ = self.arts(20)
        art = arts["photographic"]
        work = pathlib.Path(art + ".work")
        work.unlink(missing_ok=True)
        recipe = self.folder / "local.csx"
        recipe.write_text('Recipe.Title("A local edit");\nvar box = Param.Box("box", "0px,0px,10px,10px");\nint at = 0;\n'
                          'var inside = Art.Find.Where(pixel => box.Value.Contains(at % Art.Width, at++ / Art.Width));\n'
                          'Art.Fill(inside, new Rgba8(240, 124, 28), layer: "edit");\n')
        sizes = []
        for step in range(20):
            left, top = 300 + 170 * step, 400 + 190 * step
            answer = self.run([self.recipes, "commit", str(recipe), art, "--setup", "light-garment", "--set", f"box={left}px,{top}px,120px,120px"], check=False)
            if answer.returncode:
                return ("Work file", ["note"], [["not measured: " + answer.stderr.decode().strip().split("\n")[0]]])
            sizes.append(work.stat().st_size)
        undo, redo = [], []
        for _ in range(self.runs):
            undo.append(self.measure([self.recipes, "undo", art]))
            redo.append(self.measure([self.recipes, "redo", art]))
        full = sizes[0]
        work.unlink()
        return ("Work file, 20 megapixels, photographic", ["what", "figure"], [
            ["first step, with the original in it", f"{full / 1e6:.1f} MB"],
            ["nineteen further local edits of 120 x 120 px add", f"{(sizes[-1] - full) / 1e6:.2f} MB, {(sizes[-1] - full) / full:.1%} of the first"],
            ["undo", f"{median(undo)['seconds'] * 1000:.0f} ms"], ["redo", f"{median(redo)['seconds'] * 1000:.0f} ms"]])

    # Two hundred files: memory that stays flat, and both cores busy.
    def many(self):
        orders = self.folder / "orders"
        orders.mkdir(exist_ok=True)
        for number in range(200):
            target = orders / f"order{number:03}.png"
            if not target.exists():
                shutil.copy(self.puffin, target)
        files = [str(path) for path in sorted(orders.iterdir())]
        both = self.measure([self.recipes, "run", "printable-whites", *files, "-o", str(self.folder / "many"), "--setup", "light-garment", "--force"])
        one = self.measure(["taskset", "-c", "0", self.recipes, "run", "printable-whites", *files, "-o", str(self.folder / "many"), "--setup", "light-garment", "--force"])
        few, whole = (self.measure([self.recipes, "run", "printable-whites", *some, "-o", str(self.folder / "many"), "--setup", "light-garment", "--force"], memory=True) for some in (files[:20], files))
        return ("200 files of 1500 x 1200 px", ["what", "figure"], [
            ["all cores", f"{both['seconds']:.1f} s, {both['seconds'] * 1000 / 200:.0f} ms each"], ["one core", f"{one['seconds']:.1f} s, {one['seconds'] / both['seconds']:.2f} times as long"],
            ["peak memory, 200 files", f"{whole['memory'] / 1e6:.0f} MB"], ["peak memory, 20 files", f"{few['memory'] / 1e6:.0f} MB"]])

    def interleave(self, commands, runs=None):
        for command in commands.values():
            self.run(command)
        figures = {name: [] for name in commands}
        for _ in range(runs or self.runs):
            for name, command in commands.items():
                figures[name].append(self.measure(command))
        return {name: median(list_) | {"memory": self.measure(commands[name], memory=True)["memory"]} for name, list_ in figures.items()}

    def run(self, command, check=True):
        done = subprocess.run(command, cwd=self.folder, env=self.environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        if check and done.returncode:
            sys.exit(f"{' '.join(command)}\n{done.stdout.decode()}{done.stderr.decode()}")
        return done

    def environment(self):
        return {"HOME": str(self.home), "PATH": os.environ["PATH"], "DOTNET_ROOT": os.environ.get("DOTNET_ROOT", str(pathlib.Path(shutil.which("dotnet")).resolve().parent))}

    # Looking at memory slows down what is looked at, so what is timed isn't watched.
    def measure(self, command, memory=False):
        start = time.perf_counter()
        process = subprocess.Popen(command, cwd=self.folder, env=self.environment(), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
        watch = PeakMemory(process.pid)
        if memory:
            watch.start()
        errors = process.stderr.read()
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - start
        watch.ended = True
        if status:
            sys.exit(f"{' '.join(command)}\n{errors.decode()}")
        return {"seconds": seconds, "processor": usage.ru_utime + usage.ru_stime, "memory": max(watch.peak, usage.ru_maxrss * 1024)}

    def check_equal(self, one, other):
        script = f"import numpy; from PIL import Image; Image.MAX_IMAGE_PIXELS = None\na, b = (numpy.asarray(Image.open(p).convert('RGB')) for p in ({str(one)!r}, {str(other)!r}))\nassert (a == b).all()"
        self.run([PYTHON, "-c", script])


class PeakMemory(threading.Thread):
    """Proportional memory of a process and all below it, looked at a hundred times a second; shared pages count once."""

    def __init__(self, root):
        super().__init__(daemon=True)
        self.root, self.peak, self.ended = root, 0, False

    def run(self):
        while not self.ended:
            self.peak = max(self.peak, sum(map(self.proportional, self.tree())))
            time.sleep(0.01)

    def tree(self):
        found, waiting = [], [self.root]
        while waiting:
            process = waiting.pop()
            found.append(process)
            try:
                for task in os.listdir(f"/proc/{process}/task"):
                    waiting += map(int, open(f"/proc/{process}/task/{task}/children").read().split())
            except OSError:
                pass
        return found

    @staticmethod
    def proportional(process):
        try:
            return next(int(line.split()[1]) * 1024 for line in open(f"/proc/{process}/smaps_rollup") if line.startswith("Pss:"))
        except (OSError, StopIteration):
            return 0


def median(figures):
    return {key: statistics.median(figure[key] for figure in figures) for key in ("seconds", "processor")} | {"memory": max(figure["memory"] for figure in figures)}


def page(sections, runs):
    processor = next((line.split(":")[1].strip() for line in open("/proc/cpuinfo") if line.startswith("model name")), platform.machine())
    memory = int(next(line.split()[1] for line in open("/proc/meminfo") if line.startswith("MemTotal"))) / 1e6
    notes = HERE / "notes.md"
    lines = [
        "# Performance", "",
        "Written by `tests/Recipes.Benchmarks/compare.py`; the figures are of one machine on one day, and only their ratios travel.", "",
        f"{datetime.date.today():%Y-%m-%d}, {os.cpu_count()} x {processor}, {memory:.0f} GB, {platform.system()} {platform.release().split('-')[0]}. The published program, second run and later;",
        f"medians of {runs} interleaved runs (three times as many for the small file); results checked equal to the numpy script's, pixel by pixel, first.",
        "The copy is `vips pngsave IN OUT --compression 3`. The script is `tests/Recipes.Benchmarks/whites.py`. Peak memory is the proportional set size of host and workers together, seen in a run that isn't timed.",
    ]
    for title, head, rows in sections:
        lines += ["", f"## {title}", "", "| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
        lines += ["| " + " | ".join(row) + " |" for row in rows]
    if notes.exists():
        lines += ["", notes.read_text().strip()]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    main()
