// R4003
IEnumerable<int> Endless()
{
    while (true)
    {
        yield return 1;
    }
}

foreach (int n in Endless()) { }
