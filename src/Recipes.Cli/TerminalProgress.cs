using Recipes.Hosting.Shops;
using Recipes.Hosting.Words;
using Spectre.Console;

namespace Recipes.Cli;

/// <summary>Shows on a terminal that long work goes on; silent in a pipe.</summary>
internal sealed class TerminalProgress : Hosting.Shops.Progress
{
    private readonly IAnsiConsole? console;

    public TerminalProgress(bool wanted)
    {
        if (wanted && !Console.IsErrorRedirected)
        {
            console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
        }
    }

    /// <inheritdoc/>
    public override T During<T>(string what, Func<T> work) => console is null ? work() : console.Status().Start(Shown(what), _ => work());

    private static string Shown(string what) => Markup.Escape(CleanText.OneLine(what));

    /// <inheritdoc/>
    public override void Counting(string what, int total, Action<Action> work)
    {
        if (console is null)
        {
            work(() => { });
            return;
        }

        console.Progress().Start(context =>
        {
            var task = context.AddTask(Shown(what), maxValue: total);
            work(() => task.Increment(1));
        });
    }
}
