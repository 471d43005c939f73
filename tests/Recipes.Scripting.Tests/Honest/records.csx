// note: Beak { Name = orange, Level = 3, Double = 6 } True Sail 9
record Beak(string Name, int Level) { public int Double => Level * 2; }
record struct Spot(int X, int Y);
class Sail { public required int Height { get; init; } public override string ToString() => $"Sail {Height}"; }

var beak = new Beak("gray", 3) with { Name = "orange" };
bool same = new Spot(1, 2) == new Spot(1, 2) && beak != new Beak("orange", 4);
Report.Note($"{beak} {same} {new Sail { Height = 9 }}");
