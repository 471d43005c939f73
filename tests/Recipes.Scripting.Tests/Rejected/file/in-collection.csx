// R2002
List<string> texts = [System.IO.File.ReadAllText("/etc/passwd")];
