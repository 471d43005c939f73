// R2002
var q = from path in new[] { "/etc/passwd" } let text = System.IO.File.ReadAllText(path) select text;
