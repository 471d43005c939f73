// R2002
try
{
    var a = new int[int.MaxValue];
}
catch (OutOfMemoryException)
{
}
