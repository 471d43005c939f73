// R4003
try
{
    throw new InvalidOperationException("no");
}
finally
{
    while (true) { }
}
