// R2002
Console.SetOut(System.IO.TextWriter.Null);
