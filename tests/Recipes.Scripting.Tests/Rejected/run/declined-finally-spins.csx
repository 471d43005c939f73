// R4002
try
{
    Recipe.Decline("no");
}
finally
{
    while (true) { }
}
