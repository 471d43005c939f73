// R2002
var other = Setup with { Name = "other" };
