// note: 4,2,8 | 3 | 2,4,8 | True False | 5
List<int> list = [4, 2];
list.Add(8);
string asAdded = string.Join(',', list);
list.Sort();
HashSet<int> set = [1, 2, 3];
set.IntersectWith([2, 3, 4]);
SortedSet<int> sorted = [9, 5];
Report.Note($"{asAdded} | {list.Count} | {string.Join(',', list)} | {set.SetEquals([3, 2])} {set.Contains(1)} | {sorted.Min}");
