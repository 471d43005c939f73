// note: True True 1 False | True 2 1 True
sealed record Spot(int X, int Y);
record struct Empty;
record Part<T>(T One, List<T> Many) { public int Extra; }
record Wing(string Name) : Part<string>(Name, null);

var set = new HashSet<Spot> { new(1, 2), new(1, 2) };
var parts = new HashSet<Part<string>> { new Wing("left"), new Wing("left"), new Wing("right") };
int nothing = new[] { new { }, new { } }.Distinct().Count();
Report.Note($"{new Spot(1, 2).Equals(new Spot(1, 2))} {set.Contains(new Spot(1, 2))} {set.Count} {object.Equals(new Spot(1, 2), new Spot(2, 1))} | "
    + $"{new Empty() == new Empty()} {parts.Count} {nothing} {new { A = 1, B = "x" }.Equals(new { A = 1, B = "x" })}");
