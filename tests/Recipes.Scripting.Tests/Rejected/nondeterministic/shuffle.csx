// R2002
var order = new[] { 1, 2, 3 }.Shuffle().ToArray();
