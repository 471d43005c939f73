// R2002
Console.WriteLine("reply");
