using Recipes.Hosting.Tickets;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>What a ticket says of the order: bounded, clean, and in one order.</summary>
public class TicketFieldTests
{
    [Fact]
    public void Fields_are_bounded()
    {
        TicketField.Read([$"order={new string('7', 80)}"]).ShouldHaveSingleItem().Value.Length.ShouldBe(80);
        Should.Throw<ProblemException>(() => TicketField.Read([$"order={new string('7', 81)}"]));
        TicketField.Read([.. Enumerable.Range(1, 8).Select(n => $"note-{n}=x")]).Length.ShouldBe(8);
        Should.Throw<ProblemException>(() => TicketField.Read([.. Enumerable.Range(1, 9).Select(n => $"note-{n}=x")]));
        Should.Throw<ProblemException>(() => TicketField.Read([$"{new string('n', 25)}=x"]));
    }
}
