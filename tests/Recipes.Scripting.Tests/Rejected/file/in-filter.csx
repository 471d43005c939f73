// R2002
try
{
    int.Parse("beak");
}
catch (FormatException) when (System.IO.File.Exists("/etc/passwd"))
{
}
