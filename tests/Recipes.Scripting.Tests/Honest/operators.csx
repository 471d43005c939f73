// note: (4, 6) (-1, -2) True 11 (2, 2) 3
readonly struct Move(int x, int y)
{
    public int X { get; } = x;
    public int Y { get; } = y;
    public static Move operator +(Move a, Move b) => new(a.X + b.X, a.Y + b.Y);
    public static Move operator -(Move a) => new(-a.X, -a.Y);
    public static int operator *(Move a, Move b) => a.X * b.X + a.Y * b.Y;
    public static bool operator <(Move a, Move b) => a * a < b * b;
    public static bool operator >(Move a, Move b) => b < a;
    public static implicit operator Move(int both) => new(both, both);
    public static explicit operator int(Move a) => a.X + a.Y;
    public override string ToString() => $"({X}, {Y})";
}

var one = new Move(1, 2);
var two = new Move(3, 4);
Move both = 2;
Report.Note($"{one + two} {-one} {one < two} {one * two} {both} {(int)one}");
