// R2002
var d = new DateTime(2026, 11, 25);
