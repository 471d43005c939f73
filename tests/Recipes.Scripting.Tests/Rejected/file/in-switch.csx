// R2002
string text = 1 switch { 1 => System.IO.File.ReadAllText("/etc/passwd"), _ => "" };
