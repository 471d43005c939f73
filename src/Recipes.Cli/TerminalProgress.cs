using Recipes.Hosting.Words;
using Spectre.Console;

namespace Recipes.Cli;

/// <summary>Shows on a terminal that long work goes on; silent in a pipe.</summary>
internal sealed class TerminalProgress : Hosting.Shops.Progress
{
    private readonly IAnsiConsole? console;

    // The terminal shows one thing at a time and refuses a second: a part of what it shows already goes on without a word.
    private bool isShowing;

    public TerminalProgress(bool wanted)
    {
        if (wanted && !Console.IsErrorRedirected)
        {
            console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new AnsiConsoleOutput(Console.Error) });
        }
    }

    /// <inheritdoc/>
    public override T During<T>(string what, Func<T> work) => Shows() is not { } shown ? work() : Alone(() => shown.Status().Start(Shown(what), _ => work()));

    private IAnsiConsole? Shows() => isShowing ? null : console;

    private T Alone<T>(Func<T> work)
    {
        isShowing = true;
        try
        {
            return work();
        }
        finally
        {
            isShowing = false;
        }
    }

    private static string Shown(string what) => Markup.Escape(CleanText.OneLine(what));

    /// <inheritdoc/>
    public override void Counting(string what, int total, Action<Action> work)
    {
        if (Shows() is not { } shown)
        {
            work(() => { });
            return;
        }

        Alone(() =>
        {
            shown.Progress().Start(context =>
            {
                var task = context.AddTask(Shown(what), maxValue: total);
                work(() => task.Increment(1));
            });
            return true;
        });
    }
}
