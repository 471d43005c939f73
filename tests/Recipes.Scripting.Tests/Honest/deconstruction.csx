// note: beak=3 wing=5 | 9 2 1 | 3-4
class Box2(int width, int height)
{
    public void Deconstruct(out int w, out int h) => (w, h) = (width, height);
}

var sizes = new Dictionary<string, int> { ["beak"] = 3, ["wing"] = 5 };
var texts = new List<string>();
foreach (var (name, size) in sizes)
{
    texts.Add($"{name}={size}");
}

var (a, (b, c)) = (9, (2, 1));
var (width, height) = new Box2(3, 4);
Report.Note($"{string.Join(' ', texts)} | {a} {b} {c} | {width}-{height}");
