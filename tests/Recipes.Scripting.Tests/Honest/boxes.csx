// note: 2x1 at 0,0 True, 3 wide
var white = Art.Find.PureWhite();
var box = white.Bounds ?? new Box(9, 9, 9, 9);
Report.Note($"{box.Width}x{box.Height} at {box.X},{box.Y} {box == new Box(0, 0, 2, 1)}, {new Box(1, 0, 2, 2).Right} wide");
