// R2002
var t = TimeProvider.System.GetUtcNow();
