// note: 1,2,3,4,5 | 5 | 6 | 3,4
int[] head = [1, 2];
List<int> tail = [3, 4];
int[] all = [.. head, .. tail, 5];
IReadOnlyList<int> list = [.. all];
IEnumerable<int> more = [.. list, 6];
ICollection<int> few = [.. tail];
Report.Note($"{string.Join(',', all)} | {list.Count} | {more.Last()} | {string.Join(',', few)}");
