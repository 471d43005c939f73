namespace Recipes.Api;

/// <summary>What a recipe says about itself. All arguments are constants, so they are read without running anything.</summary>
public sealed class Declarations
{
    internal Declarations()
    {
    }

    /// <summary>One line that names what the recipe does.</summary>
    public void Title(string text) => ArgumentException.ThrowIfNullOrEmpty(text);

    /// <summary>A sentence or two: what it changes and when to use it.</summary>
    public void Purpose(string text) => ArgumentException.ThrowIfNullOrEmpty(text);

    /// <summary>The recipe's version, 1 where none is stated.</summary>
    public void Version(int number) => ArgumentOutOfRangeException.ThrowIfLessThan(number, 1);

    /// <summary>The version of what recipes may count on that the recipe needs, 1 where none is stated. An older program refuses it and says so.</summary>
    public void NeedsApi(int version) => ArgumentOutOfRangeException.ThrowIfLessThan(version, 1);

    /// <summary>A command that shows the recipe at work.</summary>
    public void Example(string command) => ArgumentException.ThrowIfNullOrEmpty(command);

    /// <summary>Says that a second run on the same art does harm, and why. Committing it again then needs <c>--again</c>.</summary>
    public void RunOnce(string reason) => ArgumentException.ThrowIfNullOrEmpty(reason);

    /// <summary>Says that the recipe is for leaving ink bare, and what it leaves bare. Losing most of what printed is then no mistake, and is reported; where
    /// nothing would print at all, it is refused all the same.</summary>
    public void LeavesBare(string what) => ArgumentException.ThrowIfNullOrEmpty(what);

    /// <summary>What art and setup the recipe is for. The host looks before it runs the recipe, and declines anything else.</summary>
    /// <param name="setup">Names of garment setups, with commas between; empty for any.</param>
    /// <param name="mode"><c>opaque</c> (no transparency), <c>transparent</c> (some pixel is fully transparent) or <c>gray</c>; empty for any.</param>
    /// <param name="smallest">The length that both sides have at least, as <c>20mm</c>, <c>1in</c> or <c>300px</c>; empty for any.</param>
    /// <param name="largest">The length that both sides have at most.</param>
    public void Expects(string setup = "", string mode = "", string smallest = "", string largest = "")
    {
        ArgumentNullException.ThrowIfNull(setup);
        ArgumentNullException.ThrowIfNull(mode);
        ArgumentNullException.ThrowIfNull(smallest);
        ArgumentNullException.ThrowIfNull(largest);
    }

    /// <summary>Ends the run: this art or setup is not for this recipe. Nothing is changed.</summary>
    public void Decline(string reason) => throw new DeclinedException(reason);
}
