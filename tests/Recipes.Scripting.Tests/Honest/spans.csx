// note: 9 2 True 30,20,10
int Largest(ReadOnlySpan<int> all)
{
    int best = all[0];
    foreach (int n in all[1..])
    {
        best = Math.Max(best, n);
    }

    return best;
}

ReadOnlySpan<int> Levels() => [10, 20, 30];
int Vowels(ReadOnlySpan<char> text)
{
    int count = 0;
    foreach (char c in text)
    {
        count += "aeiou".Contains(c) ? 1 : 0;
    }

    return count;
}

string Backwards()
{
    Span<int> all = [10, 20, 30];
    all.Reverse();
    return string.Join(',', all.ToArray());
}

Report.Note($"{Largest([3, 9, 4])} {Vowels("puffin".AsSpan())} {Levels().SequenceEqual(new[] { 10, 20, 30 })} {Backwards()}");
