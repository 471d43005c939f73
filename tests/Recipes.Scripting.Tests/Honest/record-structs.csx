// note: (3, 4) 25 True Spot { X = 0, Y = 4, Square = 16 }
readonly record struct Spot(int X, int Y)
{
    public int Square => X * X + Y * Y;
}

var spot = new Spot(3, 4);
var (x, y) = spot;
Report.Note($"({x}, {y}) {spot.Square} {spot == new Spot(3, 4)} {spot with { X = 0 }}");
