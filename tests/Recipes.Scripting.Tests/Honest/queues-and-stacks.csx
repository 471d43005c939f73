// note: first third 1 | low high
var queue = new Queue<string>();
queue.Enqueue("first");
queue.Enqueue("second");
var stack = new Stack<string>(["first", "second", "third"]);
var ranked = new PriorityQueue<string, int>();
ranked.Enqueue("high", 9);
ranked.Enqueue("low", 1);
Report.Note($"{queue.Dequeue()} {stack.Pop()} {queue.Count} | {ranked.Dequeue()} {ranked.Dequeue()}");
