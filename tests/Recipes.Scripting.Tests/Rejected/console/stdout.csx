// R2002
Console.OpenStandardOutput().WriteByte(0);
