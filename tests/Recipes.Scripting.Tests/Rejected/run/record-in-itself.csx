// R4005
record Node
{
    public Node Next { get; set; }
}

var node = new Node();
node.Next = node;
Report.Note(node.ToString());
