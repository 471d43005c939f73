// R2002
class Sail { public string Text => System.IO.File.ReadAllText("/etc/passwd"); }
Report.Note(new Sail().Text);
