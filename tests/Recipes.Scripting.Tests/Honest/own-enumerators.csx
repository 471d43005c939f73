// note: 3 2 1 | 3,6
class Countdown(int from)
{
    public Counter GetEnumerator() => new(from);

    public struct Counter(int from)
    {
        private int left = from + 1;
        public int Current => left;
        public bool MoveNext() => --left > 0;
    }
}

class Threes : IEnumerable<int>
{
    public IEnumerator<int> GetEnumerator()
    {
        for (int n = 3; ; n += 3)
        {
            if (n > 6)
            {
                yield break;
            }

            yield return n;
        }
    }

    System.Collections.IEnumerator System.Collections.IEnumerable.GetEnumerator() => GetEnumerator();
}

string said = "";
foreach (int n in new Countdown(3))
{
    said += n + " ";
}

Report.Note($"{said}| {string.Join(',', new Threes())}");
