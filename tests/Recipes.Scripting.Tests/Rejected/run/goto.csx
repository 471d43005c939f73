// R4003
again:
try
{
    throw new ArgumentException();
}
catch (ArgumentException)
{
}

goto again;
