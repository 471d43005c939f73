// R4004
var a = new int[int.MaxValue];
