// R4003
try
{
    Recipe.Decline("no");
}
finally
{
    while (true) { }
}
