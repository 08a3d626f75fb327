"use strict";{
const all=(q,e=document)=>[...e.querySelectorAll(q)],one=(q,e)=>all(q,e)[0],put=(e,t)=>e.textContent=t,
D=JSON.parse(one("#data").textContent),M=D.memory,low=2**M-1,
mask=b=>2**D.blocks[b][1]-1,choice=b=>s>>D.blocks[b][0]&mask(b),
at=(r,x=s)=>{while(r>=0)r=D.nodes[3*r+1+(x>>D.nodes[3*r]&1)];return~r},
word=(side,n,x)=>D.words[at(D.word[side][n],x)],sides=Object.keys(D.word),last=sides.at(-1),
does=w=>/^(on|runs|in)$/.test(w)?"works":/^(off|out)$/.test(w)?"still":"odd",
to=(root,x)=>{const m=D.sets[at(root,x)];if(m.length){race=m;s=x&low|m[0]<<M}return m.length},
go=(b,way)=>{if(!way.length)note="Nothing moves it there from here.";
for(const c of way)if(!to(D.next,s&~(mask(b)<<D.blocks[b][0])|c<<D.blocks[b][0])){note="That cannot be together with the rest.";break}show()};
let s=D.start,race=[],note="",old={},first=1;
const each=(q,f)=>sides.flatMap(k=>all(`[data-of-side=${k}] :is(${q})`).map(e=>f(e,k))),
lit=each("[data-id],[data-of]",(e,k)=>[e,D.level[k][e.dataset.id||e.dataset.of]]).filter(p=>p[1]!==undefined),
inputs=all("[data-input]").map(e=>[e,e.dataset.input,...D.inputs[e.dataset.input]]),
radios=all("[data-quantity]").map(e=>[e,e.dataset.quantity,...D.quantities[e.dataset.quantity]]),
rows=all(".meter tbody tr"),pick=one("#points");
function show(){
const told=[],stands=[];
for(const[e,n,b,v,words]of inputs){
if(words)e.checked=+v[choice(b)];
else{e.checked=sides.some(k=>n in D.moved[k]&&at(D.moved[k][n]));e.disabled=!v.includes(s>>M)}
const w=(words||["rest","moved"])[+e.checked];put(one("[data-word]",e.parentNode),w);stands.push(n+" "+w)}
for(const[e,n,b,v]of radios){const is=v[choice(b)]==e.value,t=n+" "+e.parentNode.textContent.trim();
if(is){stands.push(t);if(!e.checked)told.push(t)}e.checked=is}
for(const[e,r]of lit)e.dataset.level=D.levels[at(r)];
all("[data-reads]").map((e,k)=>put(e,D.reads[at(D.meter[k])]));
each("[data-contact]",(e,k)=>e.dataset.shut=at(D.shut[k][e.dataset.contact]));
each("[data-is]",(e,k)=>e.dataset.does=does(word(k,e.dataset.is)));
each("[data-does-of]",(e,k)=>{const w=word(k,e.dataset.doesOf);put(e,does(w)=="odd"?w:"")});
for(const e of all("[data-load],[data-relay]")){const k=e.dataset.side,n=e.dataset.load||e.dataset.relay,w=word(k,n),key=k+n;
put(e,w);if(!first&&old[key]!=w)told.push(n+" "+w+(sides[1]?" "+k:""));old[key]=w}
const differs=[];
for(const r of all("[data-pair]")){const[a,b]=all("[data-side]",r).map(e=>e.textContent),d=a!=b;r.classList.toggle("differs",d);
if(d)differs.push(`${r.dataset.pair} ${a} before, ${b} after`)}
if(sides[1])put(one("#differs"),differs.length?`In this state: ${differs.join("; ")}. All else does as before.`:"In this state every load and relay does as before.");
put(one("#stands"),stands.join(", "));
const box=one("#race");box.hidden=!race[1];
if(race[1]){const seen=race.map(m=>Object.keys(D.word[last]).map(n=>[n,word(last,n,s&low|m<<M)])),
vary=seen[0].map((p,j)=>seen.some(x=>x[j][1]!=p[1])),list=one("div",box);
list.replaceChildren(...race.map((m,j)=>{const l=document.createElement("label"),i=document.createElement("input");
i.type="radio";i.name="race";i.checked=m==s>>M;i.onchange=()=>{s=s&low|m<<M;show();all("input",list)[j].focus()};
l.append(i," ",seen[j].filter((_,x)=>vary[x]).map(p=>p.join(" ")).join(", ")||"the other way "+(j+1));return l}))}
if(!first)put(one("#status"),[note,told.length?"Now: "+told.join("; ")+".":note?"":"No load changes.",race[1]?"The order of relays decides: see below.":""].filter(x=>x).join(" "));
note="";first=0}
for(const[e,,b,,words,paths]of inputs)e.onchange=()=>{if(words)go(b,paths[choice(b)]);else{to(b,s);show()}};
for(const[e,,b,,paths]of radios)e.onchange=()=>go(b,paths[e.value][choice(b)]);
one("#power").onclick=()=>{to(D.power,s);show()};
for(const e of all("[data-jump]"))e.onclick=()=>{s=D.jumps[e.dataset.jump];race=[];show();one("#switches").scrollIntoView();one("#differs").focus({preventScroll:true})};
for(const e of all("[data-live]"))e.hidden=false;
if(pick)(pick.onchange=()=>rows.map((r,k)=>r.hidden=rows[pick.selectedIndex]&&k!=pick.selectedIndex))();
show();
}
