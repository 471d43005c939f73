// R2002
var texts = new[] { "/etc/passwd" }.Select(System.IO.File.ReadAllText).ToList();
