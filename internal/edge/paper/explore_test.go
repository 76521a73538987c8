package paper
import ("testing";"fmt")
func TestExplore(t *testing.T){
 all,_:=drawn(); h:=map[int]int{}; tot:=0
 for _,d:=range all{ for i,s:=range d.sheets{ for _,pp:=range s.pieces{ n:=pp.clutter(); h[n]++; if n>5{fmt.Println(d.chart.words.Lang,d.chart.tree.Kind.S,i+1,n)}}}; tot+=len(d.sheets)}
 fmt.Println(h,tot)
}
