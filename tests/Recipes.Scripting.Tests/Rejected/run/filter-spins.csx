// R4003
bool Spin()
{
    while (true) { }
}

try
{
    int.Parse("beak");
}
catch (FormatException) when (Spin())
{
}
