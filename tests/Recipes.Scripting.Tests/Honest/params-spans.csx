// note: 6 0 3 beak,wing
static int Sum(params ReadOnlySpan<int> all)
{
    int sum = 0;
    foreach (int n in all)
    {
        sum += n;
    }

    return sum;
}

static int Count(params IEnumerable<string> all) => all.Count();
static string List(params List<string> all) => string.Join(',', all);
Report.Note($"{Sum(1, 2, 3)} {Sum()} {Count("a", "b", "c")} {List("beak", "wing")}");
