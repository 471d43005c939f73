// note: 1 1 2 3 5 8 | 0,2,4
IEnumerable<int> Fibonacci()
{
    int a = 1, b = 1;
    while (true)
    {
        yield return a;
        (a, b) = (b, a + b);
    }
}

static IEnumerable<int> Even(int below)
{
    try
    {
        for (int i = 0; i < below; i += 2)
        {
            yield return i;
        }
    }
    finally
    {
        below = 0;
    }
}

Report.Note($"{string.Join(" ", Fibonacci().Take(6))} | {string.Join(',', Even(6))}");
