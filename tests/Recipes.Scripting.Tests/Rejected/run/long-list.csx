// R4004
var list = Enumerable.Range(0, int.MaxValue).ToList();
