// note: True True 1 False
class Spot(int x, int y) : IEquatable<Spot>
{
    public int X { get; } = x;
    public int Y { get; } = y;
    public bool Equals(Spot other) => other is not null && X == other.X && Y == other.Y;
    public override bool Equals(object other) => Equals(other as Spot);
    public override int GetHashCode() => unchecked(X * 31 + Y);
}

var set = new HashSet<Spot> { new(1, 2), new(1, 2) };
Report.Note($"{new Spot(1, 2).Equals(new Spot(1, 2))} {set.Contains(new Spot(1, 2))} {set.Count} {object.Equals(new Spot(1, 2), new Spot(2, 1))}");
